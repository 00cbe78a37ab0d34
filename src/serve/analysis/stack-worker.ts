import { parentPort, workerData } from 'node:worker_threads';
import { UserError } from '../../contract/errors.js';
import type { Settings } from '../../contract/host.js';
import type { FrameSource } from '../../pipeline/frame-source.js';
import { makeReport } from '../../pipeline/make-report.js';
import { cutoffOf, regradeAtOnce, sameCutoff } from '../../pipeline/regrade.js';
import { solveStack, type SolvedStack } from '../../pipeline/solve-stack.js';
import { cachedSource } from '../../io/cache/cached-source.js';
import { endReaders, readersUp, startReaders } from '../../io/folder-source.js';
import { openFolder } from '../../io/open-folder.js';
import { startKernels } from '../../io/start-kernels.js';
import { wireError } from '../wire-error.js';
import { packStack } from './packed-stack.js';
import { Refiners } from './refiners.js';
import { requestOfSettings } from './request-of-settings.js';
import type { StackAnswer, StackOrder } from './stack-messages.js';
import { thinCurves } from './thin-curves.js';

/** Keeps one stack's measurements between questions. Reading is stopped by ending the thread: the solve never pauses to listen. */
const { folder } = workerData as { folder: string };
let solved: SolvedStack | null = null, refiners: Refiners | null = null;
startReaders();
const kernel = startKernels(readersUp());
const say = (answer: StackAnswer): void => parentPort?.postMessage(answer);
const detailOf = (error: unknown): string => (error instanceof Error ? error.stack ?? error.message : String(error));

/** What was listed at the start is what the first analysis reads; a later one looks into the folder again. */
let listed: Promise<FrameSource> | null = openFolder(folder);
listed.then(
  ({ folder: whole, frames }) => say({ opened: {
    folder: whole, cameraModel: frames.find((frame) => frame.facts.cameraModel !== null)?.facts.cameraModel ?? null,
    frames: frames.map(({ file, rows, columns, problem }) => ({ file, rows, columns, problem })),
  } }),
  (error: unknown) => { endReaders(); say({ notOpened: wireError(error), detail: detailOf(error) }); },
);

parentPort?.on('message', (order: StackOrder) => {
  if (order.kind === 'let-go') { refiners?.letGo(order.id); return; }
  const { id } = order;
  const done = order.kind === 'analyse' ? analyse(id, order.settings) : regrade(id, order.settings);
  done.catch((error: unknown) => say({ id, error: wireError(error), detail: detailOf(error) }));
});

async function analyse(id: number, settings: Settings): Promise<void> {
  refiners?.close();
  solved = refiners = null;
  const request = requestOfSettings(settings), source = listed ?? openFolder(folder);
  listed = null;
  await kernel;
  const fresh = await solveStack(cachedSource(await source), {
    ...request,
    onProgress: (progress) => say({ id, event: { kind: 'progress', progress } }),
    onPartial: (report) => say({ id, event: { kind: 'partial', report } }),
  }).finally(endReaders);
  solved = fresh;
  // The verdict first: the threads for other optics can start while it is looked at.
  say({ id, report: thinCurves(makeReport(fresh, request)) });
  const packed = packStack(fresh);
  refiners = packed && new Refiners(packed, say);
}

/** Always from the stack as first solved: judging with wrong optics in between must not wear the measurement away. */
async function regrade(id: number, settings: Settings): Promise<void> {
  if (!solved) throw new UserError('Nothing has been measured yet.', 'Let the analysis finish first.');
  const request = requestOfSettings(settings), cutoff = cutoffOf(solved, request);
  if (!refiners || sameCutoff(cutoff, solved.cutoff)) { say({ id, report: thinCurves(makeReport(solved, request)) }); return; }
  if (!refiners.has(cutoff)) say({ id, event: { kind: 'partial', report: thinCurves(regradeAtOnce(solved, request)) } });
  refiners.refine(id, cutoff, settings);
}
