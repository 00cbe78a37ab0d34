import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { WindowStore } from '../../renderer/state/window-store.js';
import { CancelledError } from '../../src/contract/errors.js';
import type { AnalysisEvent, Host, StackInfo, StartInfo } from '../../src/contract/host.js';
import type { Report } from '../../src/contract/report.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

/** Answers come in any order where a machine is busy: here each one comes when the test says so. */
interface Answer<T> { give(value: T): void; fail(error: Error): void; promise: Promise<T> }
function answer<T>(): Answer<T> {
  let give!: (value: T) => void, fail!: (error: Error) => void;
  const promise = new Promise<T>((resolve, reject) => { give = resolve; fail = reject; });
  promise.catch(() => undefined);
  return { give, fail, promise };
}
/** Everything that waits on answers already given has gone on by then. */
const settled = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 0));

const START: StartInfo = { version: '1', folderDialog: false, folder: null, rigCard: null, recent: [], rigCards: [] };
const stackOf = (folder: string): StackInfo => ({ stackId: folder, folder, name: folder, width: 96, height: 64, cameraModel: 'Bench camera', frames: [] });
const reports = new Map<string, Report>(['/a', '/b'].map((folder) => [folder, fixtureReport({ frames: 4, stepDof: 0.6, dofUm: 24.84, rows: 64, columns: 96, folder })]));

let start: Answer<StartInfo>, opening: Map<string, Answer<StackInfo>>, reading: Map<string, Answer<Report>>, told: Map<string, (event: AnalysisEvent) => void>, store: WindowStore;
beforeEach(() => {
  vi.stubGlobal('location', { hash: '' });
  vi.stubGlobal('history', { replaceState: (_state: unknown, _title: string, hash: string) => { location.hash = hash; } });
  vi.stubGlobal('localStorage', { getItem: () => null, setItem: () => undefined });
  start = answer();
  opening = new Map(['/a', '/b'].map((folder) => [folder, answer<StackInfo>()]));
  reading = new Map(['/a', '/b'].map((folder) => [folder, answer<Report>()]));
  told = new Map();
  const host: Partial<Host> = {
    kind: 'browser',
    start: () => start.promise,
    openStack: (folder) => opening.get(folder)!.promise,
    recentStacks: async () => [],
    analyse: (stackId, _settings, onEvent, signal) => {
      told.set(stackId, onEvent);
      return Promise.race([reading.get(stackId)!.promise, new Promise<never>((_resolve, reject) => signal.addEventListener('abort', () => reject(new CancelledError())))]);
    },
    regrade: async (stackId) => reports.get(stackId)!,
  };
  store = new WindowStore(host as Host);
});
afterEach(async () => {
  // Judging anew is asked for a moment after a change: it is over by then.
  await new Promise((resolve) => setTimeout(resolve, 100));
  vi.unstubAllGlobals();
});

const open = (folder: string): void => opening.get(folder)!.give(stackOf(folder));
const read = (folder: string): void => reading.get(folder)!.give(reports.get(folder)!);
const shown = (): unknown => { const { phase, stack, report } = store.getState(); return [phase, stack?.folder ?? null, report?.stack.folder ?? null]; };

describe('a folder opened before the program has said what it was started with', () => {
  it('keeps its verdict when that answer comes last', async () => {
    void store.start();
    void store.openFolder('/a');
    open('/a');
    await settled();
    read('/a');
    await settled();
    start.give({ ...START, version: '7', folder: '/b' });
    await settled();
    expect(shown()).toEqual(['ready', '/a', '/a']);
    expect(store.getState().version).toBe('7');
  });

  it('is judged with the rig card that answer names', async () => {
    const rigCard = { name: 'bench', values: { magnification: 5 } };
    void store.start();
    void store.openFolder('/a');
    open('/a');
    await settled();
    start.give({ ...START, rigCard });
    await settled();
    expect(store.getState().settings.rigCard).toEqual(rigCard);
    read('/a');
    await settled();
    expect(shown()).toEqual(['ready', '/a', '/a']);
    expect(store.getState().regrading).toBe('asked');
  });

  it('is judged with the card saved for its camera', async () => {
    const card = { name: 'bench', cameraModel: 'Bench camera', values: { magnification: 5 } };
    void store.start();
    void store.openFolder('/a');
    open('/a');
    await settled();
    read('/a');
    await settled();
    start.give({ ...START, rigCards: [card] });
    await settled();
    expect(store.getState().settings.rigCard).toEqual(card);
    expect(store.getState().regrading).toBe('asked');
  });

  it('stays on the screen that was gone to meanwhile', async () => {
    void store.start();
    store.goTo('plan');
    start.give(START);
    await settled();
    expect(store.getState()).toMatchObject({ screen: 'plan', phase: 'no-stack' });
  });
});

describe('two folders opened one after the other', () => {
  beforeEach(async () => {
    start.give(START);
    await store.start();
    void store.openFolder('/a');
    void store.openFolder('/b');
  });

  it('shows the later one, whichever answers last', async () => {
    open('/b');
    await settled();
    read('/b');
    open('/a');
    await settled();
    read('/a');
    await settled();
    expect(shown()).toEqual(['ready', '/b', '/b']);
  });

  it('is not disturbed by the earlier one failing', async () => {
    open('/b');
    await settled();
    opening.get('/a')!.fail(new Error('gone'));
    await settled();
    expect(shown()).toEqual(['analysing', '/b', null]);
  });

  it('does not call the later one stopped because the earlier one was', async () => {
    open('/b');
    await settled();
    const phases = new Set<string>();
    store.subscribe(() => phases.add(store.getState().phase));
    void store.openFolder('/a');
    await settled();
    open('/a');
    await settled();
    told.get('/b')!({ kind: 'partial', report: reports.get('/b')! });
    read('/a');
    await settled();
    expect(shown()).toEqual(['ready', '/a', '/a']);
    expect([...phases]).toEqual(['opening', 'analysing', 'ready']);
  });
});

describe('stopping', () => {
  beforeEach(async () => {
    start.give(START);
    await store.start();
  });

  it('while a folder is being opened takes the window back at once, and the late answer changes nothing', async () => {
    void store.openFolder('/a');
    store.cancel();
    expect(shown()).toEqual(['no-stack', null, null]);
    open('/a');
    await settled();
    expect(shown()).toEqual(['no-stack', null, null]);
  });

  it('while it is being read, and checking it after all', async () => {
    void store.openFolder('/a');
    open('/a');
    await settled();
    store.cancel();
    await settled();
    expect(shown()).toEqual(['stopped', '/a', null]);
    void store.analyse();
    read('/a');
    await settled();
    expect(shown()).toEqual(['ready', '/a', '/a']);
  });

  it('on the rail screen while its folder is being opened', async () => {
    void store.rail.open('/a');
    store.rail.cancel();
    await settled();
    expect(store.getState().rail.phase).toBe('idle');
    open('/a');
    await settled();
    expect(store.getState().rail).toMatchObject({ phase: 'idle', stack: null });
  });
});
