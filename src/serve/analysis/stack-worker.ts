import { parentPort, workerData } from 'node:worker_threads';
import { UserError } from '../../contract/errors.js';
import type { AnalyseRequest } from '../../pipeline/analyse-request.js';
import { makeReport } from '../../pipeline/make-report.js';
import { regrade } from '../../pipeline/regrade.js';
import { solveStack, type SolvedStack } from '../../pipeline/solve-stack.js';
import { cachedSource } from '../../io/cache/cached-source.js';
import { openFolder } from '../../io/open-folder.js';
import { wireError } from '../wire-error.js';
import { rigOfSettings } from './rig-of-settings.js';
import type { StackAnswer, StackOrder } from './stack-messages.js';
import { thinCurves } from './thin-curves.js';

/** Keeps one stack's measurements between questions. It is stopped by ending the thread: the solve never pauses to listen. */
const { folder } = workerData as { folder: string };
let solved: SolvedStack | null = null;
const say = (answer: StackAnswer): void => parentPort?.postMessage(answer);

parentPort?.on('message', (order: StackOrder) => void carryOut(order));

async function carryOut({ id, kind, settings }: StackOrder): Promise<void> {
  const request: AnalyseRequest = {
    rig: rigOfSettings(settings), overlap: settings.overlap, outputWidthPx: settings.outputWidthPx, withCurves: true,
    onProgress: (progress) => say({ id, event: { kind: 'progress', progress } }),
    onPartial: (report) => say({ id, event: { kind: 'partial', report: thinCurves(report) } }),
  };
  try {
    if (kind === 'analyse') {
      solved = null;
      solved = await solveStack(cachedSource(await openFolder(folder)), request);
      say({ id, report: thinCurves(makeReport(solved, request)) });
    // Always from the stack as first solved: judging with wrong optics in between must not wear the measurement away.
    } else if (solved) say({ id, report: thinCurves(regrade({ ...solved, timing: { ...solved.timing } }, request)) });
    else throw new UserError('Nothing has been measured yet.', 'Let the analysis finish first.');
  } catch (error) {
    say({ id, error: wireError(error), detail: error instanceof Error ? error.stack ?? error.message : String(error) });
  }
}
