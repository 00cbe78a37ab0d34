// A worker for the pool's tests: answers, fails, dies or hangs as the task says; one task after the other, as the program's own workers do.
import { parentPort } from 'node:worker_threads';

const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

async function perform(task) {
  if (task === 'die') process.exit(7);
  if (task === 'throw') setImmediate(() => { throw new Error('out of paper'); });
  if (task === 'throw' || task === 'sleep') await new Promise(() => {});
  if (task === 'hang') for (;;);
  if (task === 'fail') { parentPort.postMessage({ failed: 'no such luck' }); return; }
  if (task === 'slow') { await pause(400); parentPort.postMessage({ result: 0 }); return; }
  await pause(5);
  parentPort.postMessage({ result: task * 2 });
}

let before = Promise.resolve();
parentPort.on('message', (task) => { before = before.then(() => perform(task)); });
parentPort.postMessage({ ready: true });
