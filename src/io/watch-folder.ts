import { stat } from 'node:fs/promises';
import path from 'node:path';
import { CancelledError, UserError } from '../contract/errors.js';
import type { WatchEvent } from '../contract/host.js';
import type { Report } from '../contract/report.js';
import { watchAdvice } from '../optics/watch-advice.js';
import type { FoundCutoff } from '../ladder/find-cutoff.js';
import { analyse } from '../pipeline/analyse.js';
import type { AnalyseRequest, RigValues } from '../pipeline/analyse-request.js';
import { makeReport } from '../pipeline/make-report.js';
import { solveStack } from '../pipeline/solve-stack.js';
import { solveFolder } from './analyse-folder.js';
import { cachedSource } from './cache/cached-source.js';
import { startKernels } from './start-kernels.js';
import { arrivingFiles } from './watch/arriving-files.js';
import { extendReport } from './watch/extend-report.js';
import { FolderPresence } from './watch/folder-presence.js';
import { KeptFolder } from './watch/kept-folder.js';
import { KeptMeasures } from './watch/kept-measures.js';
import { withoutGone } from './watch/without-gone.js';

/** A set-up, and the card some of it came from. */
export interface PickedRig { rig: RigValues; card: NonNullable<Report['rigCard']> | null }

export interface WatchRequest {
  rig: RigValues;
  /** Asked once the first frame is there: only then is it known which camera shoots, and so which saved card fits. Takes the place of `rig`. */
  pickRig?: () => Promise<PickedRig>;
  overlap: number;
  outputWidthPx: number | null;
  /** For network drives, from which no word comes when a file is written. */
  polling?: boolean;
  /** Stop once this many frames are there. */
  stopAtFrames?: number;
  /** Stop when nothing has come for this long. */
  stopAfterQuietMs?: number;
}

/** A file that has not grown for this long is read; one that can't be read yet is waited for. */
const SETTLED_MS = 300;
/** Frames a quick look takes in: the new one and those before it. */
const LOOK_FRAMES = 5;
/** With nothing new for this long the whole stack is looked at again. */
const IDLE_MS = 6000;
/** How often to see whether the folder is still there. */
const PRESENCE_MS = 2000;
/** With so many frames waiting (a folder that is not empty at the start, a card copied at once) the whole is quicker than a look at each. */
const MANY_WAITING = 4;
/** Up to this many frames the whole is as quick as a look. */
const FEW_FRAMES = 5;

/**
 * Watches a folder that fills: each new frame is placed on the ladder by a quick look at the frames shot last; when the shooting pauses,
 * and at the end, the whole stack is looked at again. Frames may be renamed, deleted or come in any order.
 *
 * @param onEvent told after each frame, with advice in words
 * @returns the last whole report, or null where fewer than two frames came
 * @throws UserError where the folder can't be watched; never a CancelledError: the signal is how watching ends
 */
export async function watchFolder(folder: string, request: WatchRequest, onEvent: (event: WatchEvent) => void, signal: AbortSignal): Promise<Report | null> {
  const whole = path.resolve(folder);
  if (!(await stat(whole).catch(() => null))?.isDirectory()) throw new UserError(`There is no folder ${whole} to watch.`, 'Name the folder that the camera’s pictures arrive in.');
  await startKernels();
  const kept = new KeptMeasures(), shots = new KeptFolder(whole);
  const waiting: string[] = [];
  const arrived: string[] = [];
  /** Arrived, but not readable: half written, or damaged for good. */
  const unreadable = new Set<string>();
  let wake: () => void = () => undefined;
  let report: Report | null = null;
  /** What all frames so far said of an unknown lens. */
  let cutoffFound: FoundCutoff | null = null;
  let picked: PickedRig = { rig: request.rig, card: null };
  let asked = request.pickRig === undefined;
  let stale = false;
  let background: AbortController | null = null;
  const stop = await arrivingFiles(whole, { polling: request.polling === true, settledMs: SETTLED_MS }, ({ kind, file }) => {
    remove(waiting, file);
    remove(arrived, file);
    unreadable.delete(file);
    if (kind === 'written') waiting.push(file);
    stale = true;
    background?.abort();
    wake();
  });
  const pause = (ms: number): Promise<void> => new Promise((resolve) => {
    const timer = setTimeout(resolve, ms);
    wake = () => { clearTimeout(timer); resolve(); };
  });
  const onAbort = (): void => wake();
  signal.addEventListener('abort', onAbort);

  const asRequested = (signalOfRun: AbortSignal): AnalyseRequest => ({ rig: picked.rig, overlap: request.overlap, outputWidthPx: request.outputWidthPx, signal: signalOfRun });
  const pickRigOnce = async (): Promise<void> => {
    if (asked || request.pickRig === undefined) return;
    picked = await request.pickRig();
    asked = true;
  };
  const tell = (next: Report, newest: string | null, whole: boolean): void => {
    if (picked.card !== null) next.rigCard = picked.card;
    report = next;
    onEvent({ kind: 'report', report, newest, whole, message: messageOf(report, newest) });
  };
  const wholeReport = async (newest: string | null): Promise<void> => {
    const source = await kept.over(cachedSource(await shots.open(newest !== null, signal)), new Set([...arrived, ...unreadable]));
    const solved = await solveStack(source, asRequested(signal)), next = makeReport(solved, asRequested(signal));
    // A newest frame that can't be read may still be on its way: nothing is said of it yet.
    if (newest !== null && isUnreadable(next, newest)) { setAside(newest); return; }
    stale = false;
    cutoffFound = solved.cutoffFound;
    tell(next, newest, true);
  };
  const setAside = (file: string): void => {
    remove(arrived, file);
    unreadable.add(file);
    stale = true;
  };
  /** In a thread of its own, and given up as soon as a frame arrives: that one goes first. */
  const wholeInBackground = async (controller: AbortController): Promise<void> => {
    const next = await solveFolder(whole, { ...asRequested(controller.signal), kept: kept.entries() }).catch(() => null);
    background = null;
    if (next === null || controller.signal.aborted) return;
    stale = false;
    ({ cutoffFound } = next);
    tell(next.report, null, true);
  };
  const place = async (file: string): Promise<void> => {
    const opened = cachedSource(await shots.open(true, signal));
    if (opened.frames.find((frame) => frame.file === file)?.problem !== null) { setAside(file); return; }
    // A frame that came as raw file and as picture is counted once, and not always by the one that came first.
    for (const other of [...arrived]) if (!opened.frames.some((frame) => frame.file === other)) remove(arrived, other);
    arrived.push(file);
    await pickRigOnce();
    if (arrived.length < 2) { onEvent({ kind: 'waiting', frames: arrived.length, message: 'One frame is there; the next one makes the first step.' }); return; }
    if (report === null || arrived.length <= FEW_FRAMES) { await wholeReport(file); return; }
    const look = await analyse(await kept.over(opened, new Set(arrived.slice(-LOOK_FRAMES))), { ...asRequested(signal), quick: { cutoffFound } });
    if (isUnreadable(look, file)) { setAside(file); return; }
    const extended = extendReport(withoutGone(report, arrived.filter((other) => other !== file)), look, file);
    if (extended === null) { await wholeReport(file); return; }
    stale = true;
    tell(extended, file, false);
  };

  const placeMany = async (files: string[]): Promise<void> => {
    arrived.push(...files);
    await pickRigOnce();
    await wholeReport(null);
    const seen = report;
    if (seen !== null) for (const file of files) if (isUnreadable(seen, file)) setAside(file);
  };

  onEvent({ kind: 'waiting', frames: 0, message: 'Waiting for the first frame.' });
  let over = false;
  const presence = new FolderPresence(whole, (there) => {
    if (!signal.aborted && !over) onEvent({ kind: 'waiting', frames: there ? arrived.length : 0, message: there ? 'The folder is back: frames are looked at as they are written.' : `The folder ${whole} is gone. Bring it back, or plug its drive in again: the frames are then looked at anew.` });
  });
  const presenceTimer = setInterval(() => presence.look(), PRESENCE_MS);
  let quietSince = performance.now();
  try {
    while (!signal.aborted) {
      const files = waiting.splice(0, waiting.length >= MANY_WAITING ? waiting.length : 1);
      if (files.length > 0) {
        await (files.length > 1 ? placeMany(files) : place(files[0])).catch((error: unknown) => {
          if (signal.aborted) return;
          // Gone again, or too few that can be read: the watcher tells when that changes. Anything else is a fault of ours.
          if (!(error instanceof UserError)) throw error;
          for (const file of files) setAside(file);
        });
        quietSince = performance.now();
        continue;
      }
      if (request.stopAtFrames !== undefined && arrived.length >= request.stopAtFrames) break;
      const quietMs = performance.now() - quietSince;
      if (request.stopAfterQuietMs !== undefined && quietMs >= request.stopAfterQuietMs) break;
      if (stale && quietMs >= IDLE_MS && arrived.length >= 2 && background === null) {
        background = new AbortController();
        void wholeInBackground(background);
      }
      await pause(Math.max(50, Math.min(IDLE_MS - (quietMs % IDLE_MS), request.stopAfterQuietMs === undefined ? IDLE_MS : request.stopAfterQuietMs - quietMs)));
    }
    if (!signal.aborted && stale && arrived.length >= 2) await wholeReport(null);
    return report;
  } catch (error) {
    if (error instanceof CancelledError || signal.aborted) return report;
    throw error;
  } finally {
    over = true;
    clearInterval(presenceTimer);
    signal.removeEventListener('abort', onAbort);
    (background as AbortController | null)?.abort();
    shots.stop();
    await stop();
  }
}

function isUnreadable(report: Report, file: string): boolean {
  return report.stack.frames.find((frame) => frame.file === file)?.flags.includes('unreadable') ?? true;
}

function messageOf(report: Report, newest: string | null): string {
  const advice = watchAdvice(report, newest);
  return [advice.word, advice.figure === '' ? '' : `${advice.figure}.`, advice.line].filter((part) => part !== '').join(' ');
}

function remove(list: string[], item: string): void {
  const at = list.indexOf(item);
  if (at >= 0) list.splice(at, 1);
}
