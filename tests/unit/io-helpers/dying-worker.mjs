// Measures every frame as one of 48 × 64 pixels, and ends abruptly at the files that say so, as one does that its decoder brings down.
import { parentPort } from 'node:worker_threads';

parentPort.on('message', ({ file }) => {
  if (file.includes('dies')) process.exit(139);
  else if (file.includes('hangs')) for (;;);
  else parentPort.postMessage({ result: { measure: { rows: 48, columns: 64 }, decodeMs: 1, measureMs: 1 } });
});
parentPort.postMessage({ ready: true });
