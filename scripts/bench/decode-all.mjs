// Decodes the files given on the command line with as many workers as given first; prints milliseconds and peak memory as JSON.
import { Worker } from 'node:worker_threads';

const [workers, ...files] = process.argv.slice(2);
const began = performance.now();
let next = 0;
await Promise.all(Array.from({ length: Number(workers) }, () => new Promise((resolve, reject) => {
  const worker = new Worker(new URL('./decode-worker.mjs', import.meta.url));
  const give = () => { if (next < files.length) worker.postMessage(files[next++]); else void worker.terminate().then(resolve); };
  worker.on('message', give);
  worker.on('error', reject);
  give();
})));
console.log(JSON.stringify({ ms: performance.now() - began, peakMb: process.resourceUsage().maxRSS / 1024 }));
