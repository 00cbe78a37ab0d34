import { parentPort, workerData } from 'node:worker_threads';
import { UserError } from '../contract/errors.js';
import { analyse } from '../pipeline/analyse.js';
import type { AnalysisMessage, AnalysisOrder } from './analysis-message.js';
import { cachedSource } from './cache/cached-source.js';
import { openFolder } from './open-folder.js';
import { startKernels } from './start-kernels.js';

const say = (message: AnalysisMessage): void => parentPort?.postMessage(message);

try {
  const { folder, cache, ...request } = workerData as AnalysisOrder;
  const [opened] = await Promise.all([openFolder(folder), startKernels()]), source = cachedSource(opened, cache);
  say({ report: await analyse(source, { ...request, onProgress: (progress) => say({ progress }) }) });
} catch (error) {
  if (error instanceof UserError) say({ userError: { message: error.message, remedy: error.remedy } });
  else say({ failure: error instanceof Error ? { message: error.message, stack: error.stack ?? '' } : { message: String(error), stack: '' } });
}
