import type { Worker } from 'node:worker_threads';
import { CancelledError, UserError } from '../contract/errors.js';
import type { Report } from '../contract/report.js';
import type { AnalyseRequest } from '../pipeline/analyse-request.js';
import type { FoundCutoff } from '../ladder/find-cutoff.js';
import type { AnalysisMessage, AnalysisOrder } from './analysis-message.js';
import { analysisThread } from './analysis-thread.js';
import { inTime } from './in-time.js';
import type { KeptEntries } from './watch/kept-measures.js';

const threads = new Set<Worker>();

/**
 * Waits for the threads of analyses to end, which they do at once unless one of their own waits for a drive that does not answer.
 * @returns false where one is left after this time: the process then can't end by itself
 */
export async function threadsEnded(patienceMs: number): Promise<boolean> {
  await inTime(Promise.all([...threads].map((thread) => new Promise((resolve) => thread.once('exit', resolve)))), patienceMs).catch(() => undefined);
  return threads.size === 0;
}

/** A report, and the cutoff it was solved with where the lens is unknown. */
export interface SolvedFolder { report: Report; cutoffFound: FoundCutoff | null }

type FolderRequest = Omit<AnalyseRequest, 'onPartial' | 'withCurves' | 'quick'> & { cache?: boolean; kept?: KeptEntries };

/** {@link solveFolder}, for the report alone. */
export async function analyseFolder(folder: string, request: FolderRequest): Promise<Report> {
  return (await solveFolder(folder, request)).report;
}

/**
 * Opens a folder and analyses it in a thread of its own, so that this one stays free to show progress and to stop:
 * the solve computes for seconds without a pause.
 * @param request `cache` false: measurements of earlier runs are neither used nor kept; `kept`: measurements that this thread has
 * @throws UserError as openFolder and analyse do; CancelledError at once when the signal fires
 */
export function solveFolder(folder: string, request: FolderRequest): Promise<SolvedFolder> {
  const { rig, overlap, outputWidthPx, cache = true, kept, signal, onProgress } = request;
  return new Promise((resolve, reject) => {
    if (signal?.aborted) { reject(new CancelledError()); return; }
    const order: AnalysisOrder = { folder, rig, overlap, outputWidthPx, cache, kept };
    const worker = analysisThread(order);
    threads.add(worker);
    const cancel = (): void => { void worker.terminate(); reject(new CancelledError()); };
    signal?.addEventListener('abort', cancel, { once: true });
    worker.on('message', (message: AnalysisMessage) => {
      if ('progress' in message) onProgress?.(message.progress);
      else if ('report' in message) resolve(message);
      else if ('userError' in message) reject(new UserError(message.userError.message, message.userError.remedy));
      else reject(Object.assign(new Error(message.failure.message), { stack: message.failure.stack }));
    });
    worker.on('error', reject);
    worker.on('exit', (code) => {
      threads.delete(worker);
      signal?.removeEventListener('abort', cancel);
      reject(new Error(`the analysis ended early (status ${code})`));
    });
  });
}
