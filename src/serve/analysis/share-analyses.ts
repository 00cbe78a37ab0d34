import { CancelledError } from '../../contract/errors.js';
import type { AnalysisEvent, Settings } from '../../contract/host.js';
import type { Report } from '../../contract/report.js';
import type { Analysis, OpenAnalysis } from '../analysis-port.js';

interface Run { report: Promise<Report>; stop: AbortController; listeners: Set<(event: AnalysisEvent) => void> }

/** One folder's measurements and how many stacks hold them. */
interface Shared { analysis: Analysis; stamp: string; holders: number; run: Run | null; measured: { settings: string; report: Report } | null }

/**
 * Opens a folder once for all who ask while its files stay as they are: a reloaded page, a second window and the check at the start read no
 * frame again, and who comes while frames are read joins in.
 */
export function shareAnalyses(open: OpenAnalysis, stampOf: (folder: string) => Promise<string>): OpenAnalysis {
  const shared = new Map<string, Promise<Shared>>();

  const take = async (folder: string): Promise<Shared> => {
    const stamp = await stampOf(folder);
    const known = await shared.get(folder)?.catch(() => null);
    if (known?.stamp === stamp) { known.holders++; return known; }
    const fresh = open(folder).then((analysis): Shared => ({ analysis, stamp, holders: 1, run: null, measured: null }));
    shared.set(folder, fresh);
    fresh.catch(() => { if (shared.get(folder) === fresh) shared.delete(folder); });
    return fresh;
  };

  return async (folder) => {
    const entry = await take(folder);
    let open = true;
    return {
      folder: entry.analysis.folder, cameraModel: entry.analysis.cameraModel, frames: entry.analysis.frames,
      analyse: (settings, onEvent, signal) => analyse(entry, settings, onEvent, signal),
      regrade: (settings, onEvent, signal) => entry.analysis.regrade(settings, onEvent, signal),
      async close() {
        if (!open) return;
        open = false;
        if (--entry.holders > 0) return;
        for (const [key, kept] of shared) if ((await kept.catch(() => null)) === entry) shared.delete(key);
        await entry.analysis.close();
      },
    };
  };
}

async function analyse(entry: Shared, settings: Settings, onEvent: (event: AnalysisEvent) => void, signal: AbortSignal): Promise<Report> {
  if (signal.aborted) throw new CancelledError();
  const wanted = JSON.stringify(settings);
  if (!entry.measured) {
    const run = entry.run ?? start(entry, settings, wanted);
    run.listeners.add(onEvent);
    await joined(entry, run, onEvent, signal);
  }
  const { measured } = entry;
  if (measured?.settings === wanted) return measured.report;
  try {
    return await entry.analysis.regrade(settings, onEvent, signal);
  } catch (error) {
    // Whatever went wrong, the next try reads anew.
    if (!(error instanceof CancelledError)) entry.measured = null;
    throw error;
  }
}

function start(entry: Shared, settings: Settings, wanted: string): Run {
  const listeners: Run['listeners'] = new Set(), stop = new AbortController();
  const report = entry.analysis.analyse(settings, (event) => { for (const listener of listeners) listener(event); }, stop.signal);
  const run: Run = { report, stop, listeners };
  entry.run = run;
  report.then((done) => { entry.measured = { settings: wanted, report: done }; }, () => undefined)
    .finally(() => { if (entry.run === run) entry.run = null; });
  return run;
}

/** Waits for a run; the last who lets go of it stops it. */
async function joined(entry: Shared, run: Run, listener: (event: AnalysisEvent) => void, signal: AbortSignal): Promise<void> {
  let letGo: () => void = () => undefined;
  const gone = new Promise<never>((_resolve, reject) => {
    letGo = () => {
      run.listeners.delete(listener);
      if (run.listeners.size === 0) { run.stop.abort(); if (entry.run === run) entry.run = null; }
      reject(new CancelledError());
    };
    signal.addEventListener('abort', letGo, { once: true });
  });
  try {
    await Promise.race([run.report, gone]);
  } finally {
    signal.removeEventListener('abort', letGo);
    run.listeners.delete(listener);
  }
}
