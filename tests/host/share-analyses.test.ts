import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { CancelledError } from '../../src/contract/errors.js';
import type { AnalysisEvent, Settings } from '../../src/contract/host.js';
import type { Report } from '../../src/contract/report.js';
import type { Analysis } from '../../src/serve/analysis-port.js';
import { shareAnalyses } from '../../src/serve/analysis/share-analyses.js';
import { createBackend } from '../../src/serve/backend.js';
import { memoryCards } from '../helpers/window-fixtures/memory-cards.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

const PLAIN: Settings = { entered: {}, rigCard: null, overlap: 0.3, outputWidthPx: null };
const never = new AbortController().signal;
const silent = (): void => undefined;

/** An engine that counts what it is asked, and reads until it is told to finish. */
class CountingEngine {
  opened = 0;
  runs = 0;
  stopped = 0;
  /** Are its measurements still there? */
  holds = false;
  tell: (event: AnalysisEvent) => void = silent;
  finish: () => void = silent;
  readonly report: Report = fixtureReport({ frames: 6, stepDof: 0.6, dofUm: 24.84, rows: 64, columns: 96 });
  readonly open = async (folder: string): Promise<Analysis> => {
    this.opened++;
    await new Promise((resolve) => setTimeout(resolve, 5));
    const holds = (): boolean => this.holds;
    return {
      folder, cameraModel: 'Bench camera', frames: [], get measured() { return holds(); },
      analyse: (_settings, onEvent, signal) => new Promise((resolve, reject) => {
        this.runs++;
        this.tell = onEvent;
        this.finish = () => { this.holds = true; resolve(this.report); };
        signal.addEventListener('abort', () => { this.stopped++; reject(new CancelledError()); });
      }),
      regrade: async () => { if (!this.holds) throw new Error('nothing to judge'); return this.report; },
      close: async () => undefined,
    };
  };
}
const progress = (done: number): AnalysisEvent => ({ kind: 'progress', progress: { stage: 'reading', done, all: 6, elapsedMs: 1, leftMs: null } });

let engine: CountingEngine;
beforeEach(() => { engine = new CountingEngine(); });

describe('one folder, asked for by several', () => {
  const shared = () => shareAnalyses(engine.open, async () => 'unchanged');

  it('is opened once where two ask at the same moment, and read once', async () => {
    const open = shared(), [one, other] = await Promise.all([open('/a'), open('/a')]);
    expect(engine.opened).toBe(1);
    const both = [one, other].map((each) => each.analyse(PLAIN, silent, never));
    engine.finish();
    expect(await Promise.all(both)).toEqual([engine.report, engine.report]);
    expect(engine.runs).toBe(1);
  });

  it('tells who joins in how far it is', async () => {
    const open = shared(), one = await open('/a'), heard: AnalysisEvent[] = [];
    void one.analyse(PLAIN, silent, never);
    engine.tell(progress(2));
    engine.tell(progress(3));
    const joining = (await open('/a')).analyse(PLAIN, (event) => heard.push(event), never);
    expect(heard).toEqual([progress(3)]);
    engine.finish();
    await joining;
  });

  it('goes on while anybody waits, and stops with the last of them', async () => {
    const open = shared(), one = await open('/a'), other = await open('/a'), stops = [new AbortController(), new AbortController()];
    const runs = [one, other].map((each, i) => each.analyse(PLAIN, silent, stops[i].signal).catch((error: unknown) => error));
    stops[0].abort();
    expect(await runs[0]).toBeInstanceOf(CancelledError);
    expect(engine.stopped).toBe(0);
    stops[1].abort();
    expect(await runs[1]).toBeInstanceOf(CancelledError);
    expect(engine.stopped).toBe(1);
  });

  it('is read anew, once, for all who ask after its measurements were lost', async () => {
    const open = shared(), one = await open('/a'), other = await open('/a');
    const first = one.analyse(PLAIN, silent, never);
    engine.finish();
    await first;
    engine.holds = false;
    const asked = [one.regrade({ ...PLAIN, overlap: 0.5 }, silent, never), other.analyse(PLAIN, silent, never), other.regrade(PLAIN, silent, never)];
    engine.finish();
    expect(await Promise.all(asked)).toEqual([engine.report, engine.report, engine.report]);
    expect([engine.opened, engine.runs]).toEqual([1, 2]);
  });

  it('is not regraded before it was ever measured', async () => {
    const one = await shared()('/a');
    await expect(one.regrade(PLAIN, silent, never)).rejects.toThrow('nothing to judge');
    expect(engine.runs).toBe(0);
  });

  it('is opened again after it could not be opened', async () => {
    const failing = vi.fn(engine.open).mockRejectedValueOnce(new Error('drive asleep')), open = shareAnalyses(failing, async () => 'unchanged');
    await expect(open('/a')).rejects.toThrow('drive asleep');
    await expect(open('/a')).resolves.toMatchObject({ folder: '/a' });
  });
});

describe('the folder named at the start', () => {
  const settings = mkdtempSync(path.join(tmpdir(), 'rungwise-ahead-'));
  const backendOf = (folder: string | null) => createBackend({
    version: 'test', settingsFolder: settings, openAnalysis: shareAnalyses(engine.open, async () => 'unchanged'), folder, rigCard: null,
    rigCards: memoryCards(), watchFolder: async () => undefined,
  });
  afterAll(() => rmSync(settings, { recursive: true, force: true }));

  it('is read before a window asks; the window takes it over, and stopping it there stops it', async () => {
    const backend = backendOf('/a'), stop = new AbortController();
    backend.readAhead();
    await vi.waitFor(() => expect(engine.runs).toBe(1));
    const { stackId } = await backend.call('open-stack', { folder: '/a' }), heard: AnalysisEvent[] = [];
    engine.tell(progress(4));
    const asked = backend.stream('analyse', { stackId, settings: PLAIN }, (event) => heard.push(event), stop.signal).catch((error: unknown) => error);
    expect(heard).toEqual([progress(4)]);
    expect([engine.opened, engine.runs, engine.stopped]).toEqual([1, 1, 0]);
    stop.abort();
    expect(await asked).toBeInstanceOf(CancelledError);
    expect(engine.stopped).toBe(1);
    await backend.close();
  });

  it('is left alone once the window asks for another', async () => {
    const backend = backendOf('/a');
    backend.readAhead();
    await vi.waitFor(() => expect(engine.runs).toBe(1));
    const { stackId } = await backend.call('open-stack', { folder: '/b' });
    void backend.stream('analyse', { stackId, settings: PLAIN }, silent, never).catch(silent);
    expect(engine.stopped).toBe(1);
    await backend.close();
  });

  it('does nothing where none was named', async () => {
    const backend = backendOf(null);
    backend.readAhead();
    await new Promise((resolve) => setTimeout(resolve, 20));
    expect(engine.opened).toBe(0);
    await backend.close();
  });
});
