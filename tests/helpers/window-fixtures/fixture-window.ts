import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { WatchEvent } from '../../../src/contract/host.js';
import type { Report } from '../../../src/contract/report.js';
import { createBackend } from '../../../src/serve/backend.js';
import { startLoopbackServer } from '../../../src/serve/http/loopback-server.js';
import { fixtureAnalysis } from './fixture-analysis.js';
import { writeFixtureFrames } from './fixture-frames.js';
import { memoryCards } from './memory-cards.js';
import { fixtureReport, type FixtureStack } from './fixture-report.js';

/** A served window over made-up stacks: one with a missing band, one that can't be told. Quick, because nothing is measured. */
export async function fixtureWindow(frameMs = 0, more: { name: string; stack: FixtureStack; write?: (report: Report, folder: string) => Promise<void> }[] = [], holdAt = Infinity) {
  const home = await mkdtemp(path.join(tmpdir(), 'rungwise-window-'));
  const gap = path.join(home, 'fluorite <b>"gap" Ärger 水晶'), undecided = path.join(home, 'undecided');
  const reports = new Map([
    [gap, fixtureReport({ frames: 12, stepDof: 0.6, longSteps: { 5: 1.85 }, flags: { 2: ['blurred'] }, dofUm: 24.84, folder: gap, columns: 480, rows: 320 })],
    [undecided, fixtureReport({ frames: 6, stepDof: 0.6, dofUm: null, folder: undecided, undecided: true, columns: 480, rows: 320 })],
  ]);
  for (const [folder, report] of reports) await writeFixtureFrames(report, folder);
  for (const { name, stack, write } of more) {
    const folder = path.join(home, name), report = fixtureReport({ ...stack, folder });
    reports.set(folder, report);
    await (write ?? writeFixtureFrames)(report, folder);
  }
  const watching = new Map<string, (event: WatchEvent) => void>();
  const backend = createBackend({
    version: 'test', settingsFolder: path.join(home, 'settings'), openAnalysis: fixtureAnalysis(reports, frameMs, holdAt), folder: null, rigCard: null,
    rigCards: memoryCards(),
    watchFolder: async (folder, _settings, onEvent, signal) => {
      watching.set(folder, onEvent);
      const report = reports.get(folder);
      if (report) onEvent({ kind: 'report', report, newest: report.stack.frames[6].file, whole: false, message: '' });
      else onEvent({ kind: 'waiting', frames: 0, message: 'No frame yet.' });
      await new Promise<void>((resolve) => signal.addEventListener('abort', () => resolve(), { once: true }));
    },
  });
  const server = await startLoopbackServer({ backend, windowFolder: path.resolve('dist/renderer'), port: 0 });
  /** Tells whoever watches a folder what has come. */
  const tell = (folder: string, event: WatchEvent): void => watching.get(folder)!(event);
  return { home, gap, undecided, backend, server, tell, close: async () => { await server.close(); await backend.close(); await rm(home, { recursive: true, force: true }); } };
}
