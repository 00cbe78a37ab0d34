import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { composeSharpest } from '../../src/serve/pictures/compose-sharpest.js';
import { sizeAndTime } from '../../src/serve/analysis/folder-stamp.js';
import { CancelledError } from '../../src/contract/errors.js';
import { FramePictures, pictureRoom, type PictureFile } from '../../src/serve/pictures/frame-pictures.js';
import { levelSize, type PixelLevel } from '../../src/serve/pictures/pixel-level.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

/** Expected values follow from how the test pictures are made: each frame is of one grey alone, or of a colour known at each place. */
describe('the preview put together from the sharpest tiles', () => {
  const report = fixtureReport({ frames: 6, stepDof: 0.6, dofUm: null, rows: 320, columns: 480 });
  const { tiles } = report;
  const grey = (frame: number): number => 20 + 40 * frame;
  const plain = (level: number) => async (frame: number): Promise<PixelLevel> => {
    const size = levelSize(320, 480, level);
    return { ...size, pixels: new Uint8Array(size.rows * size.columns * 3).fill(grey(frame)) };
  };

  it.each([0, 1, 2])('takes the middle of each tile from its best frame alone, at level %i', async (level) => {
    const picture = await composeSharpest(report, level, plain(level));
    expect(picture).toMatchObject(levelSize(320, 480, level));
    let checked = 0;
    for (let t = 0; t < tiles.bestFrame.length; t++) {
      const best = tiles.bestFrame[t];
      const row = Math.floor(t / tiles.columns), column = t % tiles.columns;
      const around = [t, t - 1, t + 1, t - tiles.columns, t + tiles.columns, t - tiles.columns - 1, t - tiles.columns + 1, t + tiles.columns - 1, t + tiles.columns + 1];
      if (best === null || row === 0 || column === 0 || row === tiles.rows - 1 || column === tiles.columns - 1 || around.some((n) => tiles.bestFrame[n] !== best)) continue;
      const at = (Math.floor(((row + 0.5) * 16) / 2 ** level) * picture.columns + Math.floor(((column + 0.5) * 16) / 2 ** level)) * 3;
      expect(picture.pixels[at]).toBe(grey(best));
      checked++;
    }
    expect(checked).toBeGreaterThan(40);
  });

  it('puts a part together as the whole shows it, from the frames that show there alone', async () => {
    const textured = async (frame: number): Promise<PixelLevel> => {
      const pixels = new Uint8Array(320 * 480 * 3);
      for (let i = 0; i < pixels.length; i++) pixels[i] = (37 * frame + 7 * i) % 251;
      return { rows: 320, columns: 480, pixels };
    };
    const whole = await composeSharpest(report, 0, textured), part = { row: 96, column: 200, rows: 40, columns: 56 }, asked: number[] = [];
    const piece = await composeSharpest(report, 0, (frame) => { asked.push(frame); return textured(frame); }, part);
    for (let row = 0; row < part.rows; row++) {
      const from = ((part.row + row) * 480 + part.column) * 3;
      expect(piece.pixels.subarray(row * part.columns * 3, (row + 1) * part.columns * 3)).toEqual(whole.pixels.subarray(from, from + part.columns * 3));
    }
    expect(asked.length).toBeGreaterThan(0);
    expect(asked.length).toBeLessThan(6);
  });

  it('takes the places of a frame that can’t be shown from the frames around', async () => {
    const best = tiles.bestFrame[Math.floor(tiles.rows / 2) * tiles.columns + Math.floor(tiles.columns / 2)]!, greys = new Set([0, 1, 2, 3, 4, 5].filter((frame) => frame !== best).map(grey));
    const picture = await composeSharpest(report, 0, plain(0), undefined, new Set([best]));
    const middle = picture.pixels[(160 * 480 + 240) * 3];
    // Feathered between greys of other frames at most: never the missing one's alone, never black.
    expect(middle).toBeGreaterThanOrEqual(Math.min(...greys));
    await expect(composeSharpest(report, 0, (frame) => (frame === best ? Promise.reject(new Error('asked')) : plain(0)(frame)), undefined, new Set([best]))).resolves.toBeDefined();
  });

  it('takes fewer of very many frames at a reduced level, each close to the best one, and all that are best at the full one', async () => {
    const long = fixtureReport({ frames: 300, stepDof: 0.6, dofUm: null, rows: 320, columns: 480 });
    const used = async (level: number): Promise<Set<number>> => {
      const asked = new Set<number>(), size = levelSize(320, 480, level);
      await composeSharpest(long, level, async (frame) => { asked.add(frame); return { ...size, pixels: new Uint8Array(size.rows * size.columns * 3) }; });
      return asked;
    };
    expect(await used(0)).toEqual(new Set(long.tiles.bestFrame.filter((frame) => frame !== null)));
    const few = await used(3);
    expect(few.size).toBeLessThanOrEqual(48);
    // 300 frames over 48 make groups of seven: none is further than that from the frame it stands for.
    for (const best of new Set(long.tiles.bestFrame)) if (best !== null) expect(Math.min(...[...few].map((frame) => Math.abs(frame - best)))).toBeLessThan(7);
  });

  it('loses and adds no light where frames meet', async () => {
    const even = await composeSharpest(report, 0, async () => ({ rows: 320, columns: 480, pixels: new Uint8Array(320 * 480 * 3).fill(200) }));
    expect(even.pixels.every((value) => value === 200)).toBe(true);
  });

  it('moves a frame by the shift the report gives it', async () => {
    const moved = fixtureReport({ frames: 6, stepDof: 0.6, dofUm: null, rows: 320, columns: 480 });
    for (const frame of moved.stack.frames) frame.shiftPx = { row: 3, column: -5 };
    const ramp: PixelLevel = { rows: 320, columns: 480, pixels: new Uint8Array(320 * 480 * 3) };
    for (let r = 0; r < 320; r++) for (let c = 0; c < 480; c++) ramp.pixels.fill((r + 2 * c) % 251, (r * 480 + c) * 3, (r * 480 + c) * 3 + 3);
    const picture = await composeSharpest(moved, 0, async () => ramp);
    expect(picture.pixels[(100 * 480 + 200) * 3]).toBe((103 + 2 * 195) % 251);
  });
});

describe('frames at reduced levels', () => {
  const folder = mkdtempSync(path.join(tmpdir(), 'rungwise-levels-'));
  const make = async (name: string, width: number, height: number): Promise<PictureFile> => {
    await sharp({ create: { width, height, channels: 3, background: { r: 90, g: 120, b: 150 } } }).toFile(path.join(folder, name));
    return { file: name, path: path.join(folder, name), rows: height, columns: width, stamp: await sizeAndTime(path.join(folder, name)) };
  };
  let pictures: FramePictures;
  beforeAll(async () => {
    const grey = path.join(folder, 'grey.tif');
    await sharp({ create: { width: 40, height: 30, channels: 3, background: '#808080' } }).toColourspace('grey16').tiff().toFile(grey);
    pictures = new FramePictures([await make('wide.png', 3001, 7), await make('tall.jpg', 5, 2999), { file: 'grey.tif', path: grey, rows: 30, columns: 40, stamp: await sizeAndTime(grey) }]);
  });
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  it.each([[0, 0, 7, 3001], [0, 3, 1, 376], [1, 0, 2999, 5], [1, 4, 188, 1]])('frame %i at level %i is %i × %i', async (frame, level, rows, columns) => {
    expect(await pictures.level(frame, level)).toMatchObject({ rows, columns });
  });

  it('says that a frame was replaced or is gone, and shows no other frame in its place', async () => {
    const replaced = await make('replaced.png', 20, 20), gone = await make('gone.png', 20, 20);
    const fresh = new FramePictures([replaced, gone]);
    await make('replaced.png', 24, 20);
    rmSync(gone.path);
    await expect(fresh.level(0, 0)).rejects.toMatchObject({ name: 'UserError', message: 'replaced.png was replaced after it was measured.' });
    await expect(fresh.level(1, 0)).rejects.toMatchObject({ name: 'UserError', message: 'gone.png is not there any more.' });
  });

  it('decodes no frame whose turn comes after everybody has gone, and makes it for who comes later or still waits', async () => {
    const files = await Promise.all(['a.png', 'b.png'].map((name) => make(name, 30, 20))), room = pictureRoom();
    let decoded = 0, letOn: () => void = () => undefined;
    const gate = new Promise<void>((resolve) => { letOn = resolve; });
    const stop = new AbortController(), fresh = new FramePictures(files, { ...room, inTurn: async (job) => { await gate; decoded++; return Promise.resolve().then(job).catch((error: unknown) => { decoded--; throw error; }); } });
    const hasty = [fresh.level(0, 0, stop.signal), fresh.level(1, 0, stop.signal)].map((each) => each.catch((error: unknown) => error));
    const patient = fresh.level(1, 0, new AbortController().signal);
    stop.abort();
    letOn();
    for (const each of hasty) expect(await each).toBeInstanceOf(CancelledError);
    expect(await patient).toMatchObject({ rows: 20, columns: 30 });
    expect(decoded).toBe(1);
    expect(await fresh.level(0, 0)).toMatchObject({ rows: 20, columns: 30 });
  });

  it('shows a 16-bit grey frame as three channels of its grey', async () => {
    const { pixels } = await pictures.level(2, 0);
    expect(pixels.length).toBe(30 * 40 * 3);
    // 0x80 as made above, give or take rounding through 16 bits.
    for (const value of pixels) expect(Math.abs(value - 0x80)).toBeLessThanOrEqual(1);
  });
});
