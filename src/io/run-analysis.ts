import type { Progress } from '../pipeline/analyse-request.js';
import { makeReport } from '../pipeline/make-report.js';
import { solveStack } from '../pipeline/solve-stack.js';
import type { AnalysisMessage, AnalysisOrder } from './analysis-message.js';
import { cachedSource } from './cache/cached-source.js';
import { readersUp } from './folder-source.js';
import { openFolder } from './open-folder.js';
import { startKernels } from './start-kernels.js';
import { KeptMeasures } from './watch/kept-measures.js';

/** Reads, solves and reports a folder as ordered, and says how far it is. @throws UserError where nothing in it can be used */
export async function runAnalysis({ folder, cache, kept, ...order }: AnalysisOrder, say: (message: AnalysisMessage) => void): Promise<void> {
  const request = { ...order, onProgress: (progress: Progress) => say({ progress }) };
  const [opened] = await Promise.all([openFolder(folder), startKernels(readersUp())]), cached = cachedSource(opened, cache), source = kept ? await new KeptMeasures(kept).over(cached) : cached;
  const solved = await solveStack(source, request);
  say({ report: makeReport(solved, request), cutoffFound: solved.cutoffFound });
}
