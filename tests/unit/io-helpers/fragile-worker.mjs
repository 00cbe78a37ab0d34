// A worker for the pool's tests: answers, fails, dies or hangs as the task says.
import { parentPort } from 'node:worker_threads';

parentPort.on('message', (task) => {
  if (task === 'die') process.exit(7);
  else if (task === 'throw') throw new Error('out of paper');
  else if (task === 'fail') parentPort.postMessage({ failed: 'no such luck' });
  else if (task === 'hang') for (;;);
  else if (task === 'sleep') return;
  else setTimeout(() => parentPort.postMessage({ result: task * 2 }), 5);
});
parentPort.postMessage({ ready: true });
