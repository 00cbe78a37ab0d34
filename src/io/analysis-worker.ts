import { parentPort, workerData } from 'node:worker_threads';
import { UserError } from '../contract/errors.js';
import type { Progress } from '../pipeline/analyse-request.js';
import { makeReport } from '../pipeline/make-report.js';
import { solveStack } from '../pipeline/solve-stack.js';
import type { AnalysisMessage, AnalysisOrder } from './analysis-message.js';
import { cachedSource } from './cache/cached-source.js';
import { endReaders, startReaders } from './folder-source.js';
import { openFolder } from './open-folder.js';
import { startKernels } from './start-kernels.js';
import { KeptMeasures } from './watch/kept-measures.js';

const say = (message: AnalysisMessage): void => parentPort?.postMessage(message);

// A watch that pauses has all of it measured.
if (!(workerData as AnalysisOrder).kept) startReaders();
try {
  const { folder, cache, kept, ...order } = workerData as AnalysisOrder, request = { ...order, onProgress: (progress: Progress) => say({ progress }) };
  const [opened] = await Promise.all([openFolder(folder), startKernels()]), cached = cachedSource(opened, cache), source = kept ? await new KeptMeasures(kept).over(cached) : cached;
  const solved = await solveStack(source, request);
  say({ report: makeReport(solved, request), cutoffFound: solved.cutoffFound });
} catch (error) {
  if (error instanceof UserError) say({ userError: { message: error.message, remedy: error.remedy } });
  else say({ failure: error instanceof Error ? { message: error.message, stack: error.stack ?? '' } : { message: String(error), stack: '' } });
} finally {
  endReaders();
}
