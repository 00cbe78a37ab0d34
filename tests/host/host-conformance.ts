import { mkdtempSync, rmSync } from 'node:fs';
import { readdir } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Messages } from '../../src/contract/channels.js';
import { CancelledError, UserError } from '../../src/contract/errors.js';
import type { AnalysisEvent, Host, Settings } from '../../src/contract/host.js';
import { createBackend } from '../../src/serve/backend.js';
import { fixtureAnalysis } from '../helpers/window-fixtures/fixture-analysis.js';
import { writeFixtureFrames } from '../helpers/window-fixtures/fixture-frames.js';
import { memoryCards } from '../helpers/window-fixtures/memory-cards.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

export interface OpenedHost { host: Host; close(): Promise<void> }

const PLAIN: Settings = { entered: {}, rigCard: null, overlap: 0.3, outputWidthPx: null };
const FRAME_MS = 15;
const silent = (): void => undefined;

/** What every host must do, whatever carries its messages. A name with quotes, blanks, markup and other scripts in it is on purpose. */
export function hostConformance(name: string, open: (backend: Messages) => Promise<OpenedHost>): void {
  describe(`host: ${name}`, () => {
    const place = mkdtempSync(path.join(tmpdir(), 'rungwise-host-'));
    const folder = path.join(place, `flußspat "A" <b>鉱物 & 'b'`);
    const report = fixtureReport({ frames: 8, stepDof: 0.6, longSteps: { 3: 1.9 }, dofUm: 24.84, rows: 320, columns: 480, folder, fileName: (i) => `främe '${i + 1}' <i>.jpg` });
    let opened: OpenedHost, host: Host, backend: ReturnType<typeof createBackend>;

    beforeAll(async () => {
      await writeFixtureFrames(report, folder);
      backend = createBackend({
        version: '9.9.9', settingsFolder: path.join(place, 'settings'), folder, rigCard: null,
        openAnalysis: fixtureAnalysis(new Map([[folder, report]]), FRAME_MS),
        rigCards: memoryCards(),
        watchFolder: async (_folder, _settings, onEvent, signal) => {
          onEvent({ kind: 'waiting', frames: 0, message: 'Waiting for the first frame.' });
          await new Promise<void>((resolve) => signal.addEventListener('abort', () => resolve(), { once: true }));
        },
        pickFolder: async () => folder,
      });
      opened = await open(backend);
      host = opened.host;
    });
    afterAll(async () => {
      await opened.close();
      await backend.close();
      rmSync(place, { recursive: true, force: true });
    });

    const openAndAnalyse = async (onEvent: (event: AnalysisEvent) => void = () => undefined): Promise<string> => {
      const { stackId } = await host.openStack(folder);
      await host.analyse(stackId, PLAIN, onEvent, new AbortController().signal);
      return stackId;
    };

    it('starts with what was named, and picks a folder where there is a dialog', async () => {
      expect(await host.start()).toMatchObject({ version: '9.9.9', folder, folderDialog: true });
      expect(await host.pickFolder()).toBe(folder);
    });

    it('opens a stack with opaque frame ids, its names untouched, and remembers it', async () => {
      const stack = await host.openStack(folder);
      expect(stack.frames.map((f) => f.file)).toEqual(report.stack.frames.map((f) => f.file));
      for (const frame of stack.frames) expect(frame.frameId).toMatch(/^[\w-]{12}$/);
      expect((await host.recentStacks())[0]).toMatchObject({ folder });
      expect(await host.forgetStack(folder)).toEqual([]);
    });

    it('reports progress and a partial result before the report', async () => {
      const kinds: string[] = [];
      await openAndAnalyse((event) => kinds.push(event.kind));
      expect(kinds[0]).toBe('progress');
      expect(kinds.indexOf('partial')).toBeGreaterThan(0);
      expect(kinds.indexOf('partial')).toBeLessThan(kinds.lastIndexOf('progress'));
      expect(kinds.at(-1)).toBe('report');
    });

    it('cancels a running analysis within a second', async () => {
      const { stackId } = await host.openStack(folder);
      const stop = new AbortController();
      let stoppedAt = 0;
      const run = host.analyse(stackId, PLAIN, (event) => {
        if (event.kind === 'progress' && event.progress.done === 2 && stoppedAt === 0) { stoppedAt = performance.now(); stop.abort(); }
      }, stop.signal);
      await expect(run).rejects.toBeInstanceOf(CancelledError);
      expect(performance.now() - stoppedAt).toBeLessThan(1000);
    });

    it('regrades under another aperture, and says so where nothing was measured', async () => {
      const fresh = await host.openStack(folder);
      await expect(host.regrade(fresh.stackId, PLAIN, silent, new AbortController().signal)).rejects.toMatchObject({ name: 'UserError' });
      const stackId = await openAndAnalyse();
      const kinds: string[] = [];
      const closed = await host.regrade(stackId, { ...PLAIN, entered: { fNumber: 8 } }, (event) => kinds.push(event.kind), new AbortController().signal);
      expect(kinds).toEqual(['partial', 'report']);
      // 0.55 µm / NA² with N_eff = 8 (1 + 5) = 48, NA = 5/96: optics-reference.md, formulas.
      expect(closed.optics.dofUm.value).toBeCloseTo(0.55 / (5 / 96) ** 2, 6);
      expect(closed.verdict.decision).not.toBe(report.verdict.decision);
    });

    it('lets go of a regrade at once', async () => {
      const stackId = await openAndAnalyse(), stop = new AbortController();
      await expect(host.regrade(stackId, { ...PLAIN, entered: { fNumber: 4 } }, (event) => { if (event.kind === 'partial') stop.abort(); }, stop.signal)).rejects.toBeInstanceOf(CancelledError);
    });

    it('measures a rail from the last report, and says so where there is none', async () => {
      const fresh = await host.openStack(folder);
      const request = { commandedUm: null, unitsPerFrame: 2, tiltDeg: null };
      await expect(host.rail(fresh.stackId, request)).rejects.toMatchObject({ name: 'UserError' });
      const rail = await host.rail(await openAndAnalyse(), request);
      // The made-up stack steps by 0.6 DOF of 24.84 µm, ± 6 % (fixture-report.ts).
      expect(rail.measuredUm! / (0.6 * 24.84)).toBeGreaterThan(0.94);
      expect(rail.measuredUm! / (0.6 * 24.84)).toBeLessThan(1.06);
      expect(rail.railUnitUm).toBeCloseTo(rail.measuredUm! / 2, 9);
    });

    it('hands out the height map as the bytes of a TIFF', async () => {
      const file = await host.exportReport(await openAndAnalyse(), 'height-tiff', PLAIN);
      expect(file).toMatchObject({ encoding: 'base64', mediaType: 'image/tiff' });
      expect(await sharp(Buffer.from(file.content, 'base64')).metadata()).toMatchObject({ format: 'tiff', depth: 'ushort', width: report.tiles.columns, height: report.tiles.rows });
    });

    it('gives crops of frames and of the sharpest tiles, and nothing by path', async () => {
      const stackId = await openAndAnalyse();
      const stack = await host.openStack(folder);
      const part = { level: 0, row: 32, column: 64, rows: 96, columns: 128 };
      for (const [id, picture] of [[stack.stackId, stack.frames[3].frameId], [stackId, 'sharpest']] as const) {
        const { blob, note } = await host.picture({ stackId: id, picture, ...part });
        expect(await sharp(Buffer.from(await blob.arrayBuffer())).metadata()).toMatchObject({ width: 128, height: 96 });
        expect(note).toBeNull();
      }
      await expect(host.picture({ stackId: stack.stackId, picture: stack.frames[0].file, ...part })).rejects.toBeInstanceOf(UserError);
      await expect(host.picture({ stackId: stack.stackId, picture: '../../etc/passwd', ...part })).rejects.toBeInstanceOf(UserError);
    });

    it('names a frame that vanished after the folder was opened, and shows the rest of the preview', async () => {
      const { rows, columns, bestFrame } = report.tiles, shown = bestFrame[Math.floor(rows / 2) * columns + Math.floor(columns / 2)]!;
      const stackId = await openAndAnalyse(), stack = await host.openStack(folder), gone = stack.frames[shown].file;
      rmSync(path.join(folder, gone));
      const whole = await host.picture({ stackId, picture: 'sharpest', level: 0, row: 0, column: 0, rows: 320, columns: 480 });
      expect(whole.note).toContain(`${gone} is not there any more.`);
      expect(await sharp(Buffer.from(await whole.blob.arrayBuffer())).metadata()).toMatchObject({ width: 480, height: 320 });
      await expect(host.picture({ stackId: stack.stackId, picture: stack.frames[shown].frameId, level: 0, row: 0, column: 0, rows: 64, columns: 64 }))
        .rejects.toMatchObject({ message: expect.stringContaining(gone) as string });
    });

    it('says in words what is wrong, and shows nothing of its inside', async () => {
      await expect(host.openStack(path.join(place, 'nowhere'))).rejects.toMatchObject({ name: 'UserError', remedy: expect.stringMatching(/folder/) as string });
      const wrong = host.regrade('x', { ...PLAIN, overlap: 7 }, silent, new AbortController().signal);
      await expect(wrong).rejects.toMatchObject({ name: 'UserError', message: expect.stringContaining('overlap') as string });
    });

    it('saves, renames and deletes rig cards, hands out exports, lists folders, writes nothing beside the frames', async () => {
      const before = await readdir(folder);
      const stackId = await openAndAnalyse();
      const card = { name: 'bench, 5×', values: { magnification: 5, fNumber: 2.8 } };
      expect(await host.saveRigCard(card)).toEqual([card]);
      expect(await host.rigCards()).toEqual([card]);
      expect(await host.renameRigCard(card.name, 'field')).toEqual([{ ...card, name: 'field' }]);
      await expect(host.renameRigCard('nobody', 'field')).rejects.toMatchObject({ name: 'UserError' });
      await expect(host.deleteRigCard('nobody')).rejects.toMatchObject({ name: 'UserError' });
      expect(await host.deleteRigCard('field')).toEqual([]);
      expect(JSON.parse((await host.exportReport(stackId, 'json', PLAIN)).content)).toMatchObject({ schema: 'rungwise.report/1' });
      expect((await host.listFolders(place)).folders.find((f) => f.folder === folder)?.pictures).toBe(before.length);
      expect(await readdir(folder)).toEqual(before);
    });

    it('tells the program that nobody waits for a picture or a stream any more', async () => {
      const heard: string[] = [], asked: string[] = [];
      const wait = (what: string, signal: AbortSignal): Promise<never> => new Promise((_resolve, reject) => {
        asked.push(what);
        signal.addEventListener('abort', () => { heard.push(what); reject(new CancelledError()); });
      });
      const { host: other, close } = await open({
        call: async () => { throw new UserError('Not asked here.', ''); },
        bytes: (name, _ask, signal) => wait(name, signal!),
        stream: (name, _ask, _onEvent, signal) => wait(name, signal),
      });
      try {
        const stops = [new AbortController(), new AbortController()];
        const waits = [
          other.picture({ stackId: 'x', picture: 'sharpest', level: 0, row: 0, column: 0, rows: 8, columns: 8 }, stops[0].signal),
          other.watch(folder, PLAIN, silent, stops[1].signal),
        ].map((each) => each.then(() => 'answered', (error: unknown) => error));
        await expect.poll(() => asked.length).toBe(2);
        expect(heard).toEqual([]);
        for (const stop of stops) stop.abort();
        for (const each of waits) expect(await each).toBeInstanceOf(CancelledError);
        await expect.poll(() => [...heard].sort()).toEqual(['picture', 'watch']);
      } finally {
        await close();
      }
    });

    it('watches until told to stop', async () => {
      const stop = new AbortController();
      const seen: string[] = [];
      await host.watch(folder, PLAIN, (event) => { seen.push(event.kind); stop.abort(); }, stop.signal).catch((error: unknown) => expect(error).toBeInstanceOf(CancelledError));
      expect(seen).toEqual(['waiting']);
    });
  });
}
