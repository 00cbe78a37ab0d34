import { parentPort, workerData } from 'node:worker_threads';
import { UserError } from '../contract/errors.js';
import type { AnalysisMessage, AnalysisOrder } from './analysis-message.js';
import { endReaders, startReaders } from './folder-source.js';

const say = (message: AnalysisMessage): void => parentPort?.postMessage(message);

/** What it was started with; null: it was started ahead, and is told. */
const atHand = workerData as AnalysisOrder | null;
const ordered = atHand ? Promise.resolve(atHand) : new Promise<AnalysisOrder>((resolve) => { parentPort?.once('message', resolve); });
// A watch that pauses has all of it measured.
if (!atHand?.kept) startReaders();
try {
  // The most of the engine is loaded while the threads that read come up.
  const { runAnalysis } = await import('./run-analysis.js');
  await runAnalysis(await ordered, say);
} catch (error) {
  if (error instanceof UserError) say({ userError: { message: error.message, remedy: error.remedy } });
  else say({ failure: error instanceof Error ? { message: error.message, stack: error.stack ?? '' } : { message: String(error), stack: '' } });
} finally {
  endReaders();
}
