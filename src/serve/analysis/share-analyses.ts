import { CancelledError } from '../../contract/errors.js';
import type { AnalysisEvent, Settings } from '../../contract/host.js';
import type { Report } from '../../contract/report.js';
import type { Analysis, OpenAnalysis } from '../analysis-port.js';

type Listener = (event: AnalysisEvent) => void;
/** One who waits, known by itself: two may listen with the same function. */
interface Waiter { hear: Listener }
interface Run { report: Promise<Report>; stop: AbortController; waiters: Set<Waiter>; /** What the last event of each kind said, for whoever joins in later. */ latest: Map<AnalysisEvent['kind'], AnalysisEvent> }

/** One folder's measurements and how many stacks hold them. */
interface Shared { opened: Promise<Analysis>; stamp: string; holders: number; run: Run | null; measured: { settings: string; report: Report } | null }

/**
 * Opens a folder once for all who ask while its files stay as they are: a reloaded page, a second window and the check at the start read no
 * frame again, and who comes while frames are read joins in.
 */
export function shareAnalyses(open: OpenAnalysis, stampOf: (folder: string) => Promise<string>): OpenAnalysis {
  const shared = new Map<string, Shared>();

  const forget = (folder: string, entry: Shared): void => { if (shared.get(folder) === entry) shared.delete(folder); };
  // Nothing is awaited between looking and keeping: two who ask at the same time must find one another.
  const take = (folder: string, stamp: string): Shared => {
    const known = shared.get(folder);
    if (known?.stamp === stamp) { known.holders++; return known; }
    const fresh: Shared = { opened: open(folder), stamp, holders: 1, run: null, measured: null };
    shared.set(folder, fresh);
    fresh.opened.catch(() => forget(folder, fresh));
    return fresh;
  };

  return async (folder) => {
    const entry = take(folder, await stampOf(folder));
    const analysis = await entry.opened;
    let open = true;
    return {
      folder: analysis.folder, cameraModel: analysis.cameraModel, frames: analysis.frames,
      get measured() { return analysis.measured; },
      analyse: (settings, onEvent, signal) => analyse(entry, analysis, settings, onEvent, signal),
      // Measurements that were lost are made anew, for all who ask.
      regrade: (settings, onEvent, signal) => (entry.measured && !analysis.measured ? analyse(entry, analysis, settings, onEvent, signal) : analysis.regrade(settings, onEvent, signal)),
      async close() {
        if (!open) return;
        open = false;
        if (--entry.holders > 0) return;
        forget(folder, entry);
        await analysis.close();
      },
    };
  };
}

async function analyse(entry: Shared, analysis: Analysis, settings: Settings, onEvent: Listener, signal: AbortSignal): Promise<Report> {
  if (signal.aborted) throw new CancelledError();
  const wanted = JSON.stringify(settings);
  if (!entry.measured || !analysis.measured) {
    const run = entry.run ?? start(entry, analysis, settings, wanted);
    const waiter: Waiter = { hear: onEvent };
    run.waiters.add(waiter);
    for (const event of run.latest.values()) onEvent(event);
    await joined(entry, run, waiter, signal);
  }
  const { measured } = entry;
  return measured?.settings === wanted ? measured.report : analysis.regrade(settings, onEvent, signal);
}

function start(entry: Shared, analysis: Analysis, settings: Settings, wanted: string): Run {
  const waiters: Run['waiters'] = new Set(), latest: Run['latest'] = new Map(), stop = new AbortController();
  const report = analysis.analyse(settings, (event) => {
    latest.set(event.kind, event);
    for (const { hear } of waiters) hear(event);
  }, stop.signal);
  const run: Run = { report, stop, waiters, latest };
  entry.run = run;
  report.then((done) => { entry.measured = { settings: wanted, report: done }; }, () => undefined)
    .finally(() => { if (entry.run === run) entry.run = null; });
  return run;
}

/** Waits for a run; the last who lets go of it stops it. */
async function joined(entry: Shared, run: Run, waiter: Waiter, signal: AbortSignal): Promise<void> {
  let letGo: () => void = () => undefined;
  const gone = new Promise<never>((_resolve, reject) => {
    letGo = () => {
      run.waiters.delete(waiter);
      if (run.waiters.size === 0) { run.stop.abort(); if (entry.run === run) entry.run = null; }
      reject(new CancelledError());
    };
    signal.addEventListener('abort', letGo, { once: true });
  });
  try {
    await Promise.race([run.report, gone]);
  } finally {
    signal.removeEventListener('abort', letGo);
    run.waiters.delete(waiter);
  }
}
