import { parentPort, workerData } from 'node:worker_threads';
import { UserError } from '../contract/errors.js';
import type { AnalysisMessage, AnalysisOrder } from './analysis-message.js';
import { endReaders, startReaders } from './folder-source.js';

const say = (message: AnalysisMessage): void => parentPort?.postMessage(message);

// A watch that pauses has all of it measured.
if (!(workerData as AnalysisOrder).kept) startReaders();
try {
  // The most of the engine is loaded while the threads that read come up.
  const { runAnalysis } = await import('./run-analysis.js');
  await runAnalysis(workerData as AnalysisOrder, say);
} catch (error) {
  if (error instanceof UserError) say({ userError: { message: error.message, remedy: error.remedy } });
  else say({ failure: error instanceof Error ? { message: error.message, stack: error.stack ?? '' } : { message: String(error), stack: '' } });
} finally {
  endReaders();
}
