import { copyFile, mkdir, mkdtemp, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { CancelledError } from '../../src/contract/errors.js';
import type { AnalysisEvent, Settings } from '../../src/contract/host.js';
import type { Report } from '../../src/contract/report.js';
import { folderStamp } from '../../src/serve/analysis/folder-stamp.js';
import { openAnalysis } from '../../src/serve/analysis/open-analysis.js';
import { shareAnalyses } from '../../src/serve/analysis/share-analyses.js';
import { createBackend } from '../../src/serve/backend.js';
import { memoryCards } from '../helpers/window-fixtures/memory-cards.js';
import { seededRandom } from '../helpers/window-fixtures/seeded-random.js';

const SETTINGS: Settings = { entered: { magnification: 5, fNumber: 2.8, pixelPitchUm: 3.9 }, rigCard: null, overlap: 0.3, outputWidthPx: null };
const silent = (): void => undefined;

/** Two windows over one program and the real engine, as two browser tabs are. What one does must cost the other nothing. */
describe('two windows over one program', () => {
  let home = '', folders: string[] = [], backend: ReturnType<typeof createBackend>;
  beforeAll(async () => {
    home = await mkdtemp(path.join(tmpdir(), 'rungwise-two-'));
    const frames = (await readdir('sample-frames/quartz-druse')).filter((file) => /\.jpe?g$/i.test(file)).sort();
    folders = await Promise.all(Array.from({ length: 6 }, async (_, f) => {
      const folder = path.join(home, `stack ${f}`);
      await mkdir(folder);
      for (const file of frames.slice(f, f + 3)) await copyFile(path.join('sample-frames/quartz-druse', file), path.join(folder, file));
      return folder;
    }));
    backend = createBackend({
      version: 'test', settingsFolder: path.join(home, 'settings'), openAnalysis: shareAnalyses(openAnalysis, folderStamp), folder: null, rigCard: null,
      rigCards: memoryCards(), watchFolder: async () => undefined,
    });
  });
  afterAll(async () => { await backend.close(); await rm(home, { recursive: true, force: true }); });

  const ask = async (kind: 'analyse' | 'regrade', stackId: string, settings: Settings, signal: AbortSignal, onEvent: (event: AnalysisEvent) => void = silent): Promise<Report | 'stopped'> => {
    let last: Report | null = null;
    try {
      await backend.stream(kind, { stackId, settings }, (event) => { if (event.kind === 'report') last = event.report; onEvent(event); }, signal);
    } catch (error) {
      if (error instanceof CancelledError && signal.aborted) return 'stopped';
      throw error;
    }
    return last!;
  };
  const never = new AbortController().signal;

  it('gives who does not stop a verdict, however often the other opens the same folder and stops', async () => {
    const random = seededRandom(7);
    let stopped = 0, finished = 0;
    const patient = async (): Promise<void> => {
      for (let round = 0; round < 2; round++) {
        const { stackId } = await backend.call('open-stack', { folder: folders[0] });
        const report = await ask('analyse', stackId, SETTINGS, never);
        expect(report).toMatchObject({ stack: { folder: folders[0] } });
        finished++;
        // Another aperture, so that there is refining to be disturbed as well.
        expect(await ask('regrade', stackId, { ...SETTINGS, entered: { ...SETTINGS.entered, fNumber: 3 + round } }, never)).toMatchObject({ optics: { fNumber: { value: 3 + round } } });
      }
    };
    const hasty = async (): Promise<void> => {
      for (let opens = 0; opens < 25 && finished < 2; opens++) {
        const { stackId } = await backend.call('open-stack', { folder: folders[0] }), stop = new AbortController();
        setTimeout(() => stop.abort(), 120 * random());
        const settings = { ...SETTINGS, entered: { ...SETTINGS.entered, fNumber: random() < 0.5 ? 2.8 : 4 } };
        if (await ask('analyse', stackId, settings, stop.signal) === 'stopped') stopped++;
      }
    };
    await Promise.all([patient(), hasty()]);
    expect(stopped).toBeGreaterThan(1);
  });

  it('reads on in the one while the other goes through more folders than are kept', async () => {
    const { stackId } = await backend.call('open-stack', { folder: folders[0] });
    // More frames than before, so that they are read again, and longer than the others take to open.
    for (const [i, folder] of [...folders, ...folders].entries()) await copyFile(path.join(folder, (await readdir(folder)).at(-1)!), path.join(folders[0], `one more ${i}.jpg`));
    const long = await backend.call('open-stack', { folder: folders[0] });
    const reading = ask('analyse', long.stackId, SETTINGS, never);
    await Promise.all(folders.slice(1).map((folder) => backend.call('open-stack', { folder })));
    expect(await reading).toMatchObject({ stack: { frames: { length: 15 } } });
    // What nobody has used for so long is closed, and says so.
    await expect(ask('regrade', stackId, SETTINGS, never)).rejects.toMatchObject({ message: 'This stack is no longer open.' });
  });

  it('leaves the one its pictures and its report while the other reloads the same folder again and again', async () => {
    const mine = await backend.call('open-stack', { folder: folders[1] });
    await ask('analyse', mine.stackId, SETTINGS, never);
    for (let i = 0; i < 12; i++) await backend.call('open-stack', { folder: folders[1] });
    const picture = await backend.bytes('picture', { stackId: mine.stackId, picture: 'sharpest', level: 2, row: 0, column: 0, rows: 512, columns: 512 });
    expect(picture.bytes.length).toBeGreaterThan(1000);
    expect(await ask('regrade', mine.stackId, SETTINGS, never)).toMatchObject({ stack: { folder: folders[1] } });
  });
});
