import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';
import type { AnalysisOrder } from './analysis-message.js';
import { startAhead, takeAhead } from './workers-ahead.js';

const workerFile = createRequire(import.meta.url).resolve('#analysis-worker');

/** Starts the thread of an analysis that will be ordered soon. It never keeps the process alive. */
export function startAnalysisAhead(): void { startAhead(workerFile, 1); }

/** The thread of an analysis: one started ahead, or a new one. */
export function analysisThread(order: AnalysisOrder): Worker {
  const ahead = takeAhead(workerFile);
  if (ahead === null) return new Worker(workerFile, { workerData: order });
  ahead.worker.postMessage(order);
  return ahead.worker;
}
