import { chmodSync, mkdirSync, readFileSync, readdirSync, statSync, unlinkSync, utimesSync, writeFileSync } from 'node:fs';
import { open, type FileHandle } from 'node:fs/promises';
import path from 'node:path';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { cacheFolder, cacheLimitBytes } from '../../src/io/cache/cache-folder.js';
import { fileStamp } from '../../src/io/cache/file-stamp.js';
import { MeasureStore } from '../../src/io/cache/measure-store.js';
import { measuringCode, measuringFiles } from '../../src/io/cache/measuring-code.js';
import { packMeasure, unpackMeasure } from '../../src/io/cache/pack-measure.js';
import type { FrameMeasure } from '../../src/sharpness/measure-plan.js';
import { noise } from './io-helpers/picture.js';
import { tempFolder } from './io-helpers/temp-folder.js';

const root = tempFolder();

function someMeasure(seed: number, cells = 12): FrameMeasure {
  const codes = (length: number): Uint16Array => Uint16Array.from({ length }, () => 65_535 * random());
  const random = noise(seed), floats = (length: number): Float32Array => Float32Array.from({ length }, random);
  return {
    rows: 24, columns: 32, cellRows: 3, cellColumns: 4, energy: [codes(cells), codes(cells), codes(cells)], brightness: codes(cells), clipped: Uint8Array.from(codes(cells)), meanRoot: random(),
    registration: { rows: 3, columns: 4, pixels: Int16Array.from(codes(12)) }, spectra: [null, { sizePx: 16, row: floats(2), column: floats(2), bins: 4, power: floats(8) }],
  };
}

describe('cacheFolder', () => {
  // XDG Base Directory Specification 0.8; Apple's Library/Caches; Windows' LOCALAPPDATA.
  it.each([
    ['linux', {}, '/home/anna/.cache/rungwise'],
    ['linux', { XDG_CACHE_HOME: '/fast' }, '/fast/rungwise'],
    ['linux', { XDG_CACHE_HOME: 'relative' }, '/home/anna/.cache/rungwise'],
    ['darwin', {}, '/home/anna/Library/Caches/rungwise'],
    ['win32', { LOCALAPPDATA: 'D:\\Data' }, 'D:\\Data\\rungwise\\cache'],
    ['linux', { RUNGWISE_CACHE: '/other' }, '/other'],
    ['linux', { RUNGWISE_CACHE: 'off' }, null],
  ] as const)('on %s with %o', (platform, env, expected) => expect(cacheFolder(env, platform, '/home/anna')).toBe(expected));
  it('has a home without LOCALAPPDATA', () => expect(cacheFolder({}, 'win32', 'C:\\Users\\anna')).toBe('C:\\Users\\anna\\AppData\\Local\\rungwise\\cache'));
  it.each([['', 2048e6], ['0', 0], ['5', 5e6], ['-1', 2048e6], ['much', 2048e6]])('takes a limit of "%s" MB as %i bytes', (text, bytes) => expect(cacheLimitBytes({ RUNGWISE_CACHE_MB: text })).toBe(bytes));
});

describe('fileStamp', () => {
  const file = path.join(root, 'stamped.jpg'), later = Date.now() + 10_000;
  it('stays while the file does', async () => {
    writeFileSync(file, Buffer.alloc(100_000, 1));
    expect(await fileStamp(file, later)).toEqual(await fileStamp(file, later));
  });
  it('changes with the content, even where size and time of writing are set back', async () => {
    // Whole seconds, which can be set back exactly.
    const written = 1_700_000_000;
    utimesSync(file, written, written);
    const before = await fileStamp(file);
    // Between the samples, so that only the disk's own time of change can tell.
    const changed = Buffer.alloc(100_000, 1);
    changed[30_000] = 2;
    writeFileSync(file, changed);
    utimesSync(file, written, written);
    expect(statSync(file).mtimeMs).toBe(1000 * written);
    expect((await fileStamp(file))?.id).not.toBe(before?.id);
  });
  it.each([['head', 5], ['middle', 50_005], ['tail', 99_990]])('changes with the %s of a file where the disk has no time of change and its other times are set back', async (_, at) => {
    const bytes = Buffer.alloc(100_000, 1);
    writeFileSync(file, bytes);
    const handle = await open(file), found = await handle.stat({ bigint: true }), prototype = Object.getPrototypeOf(handle) as FileHandle;
    await handle.close();
    // What such a disk says before and after.
    vi.spyOn(prototype, 'stat').mockImplementation((async () => found) as unknown as FileHandle['stat']);
    const before = await fileStamp(file);
    bytes[at] = 2;
    writeFileSync(file, bytes);
    expect((await fileStamp(file))?.id).not.toBe(before?.id);
    bytes[at] = 1;
    writeFileSync(file, bytes);
    expect((await fileStamp(file))?.id).toBe(before?.id);
  });
  afterEach(() => { vi.restoreAllMocks(); });
  it('is not settled just after a change, nor where the file’s time lies ahead of the clock', async () => {
    writeFileSync(file, 'new');
    const now = statSync(file).ctimeMs;
    expect((await fileStamp(file, now + 1_900))?.settled).toBe(false);
    expect((await fileStamp(file, now + 2_100))?.settled).toBe(true);
    expect((await fileStamp(file, now - 86_400_000))?.settled).toBe(false);
  });
  it('knows none of what is no file', async () => {
    expect(await fileStamp(path.join(root, 'absent'))).toBeNull();
    expect(await fileStamp(root)).toBeNull();
  });
});

describe('measuringCode', () => {
  it('covers the code that workers run, formulas and filters included', async () => {
    const files = await measuringFiles(), code = [...files].filter(([name]) => name.endsWith('.js')).map(([, bytes]) => bytes.toString('utf8')).join('\n');
    expect([...files.keys()]).toEqual(expect.arrayContaining(['frame-worker.js', '../simd/filters.wasm', '../simd/filters-fused.wasm']));
    // What the sources export by these names; the build puts them into fewer files.
    for (const name of ['decodeFrame', 'pictureInput', 'tiffContents', 'measureFrame', 'luminanceFromPixels', 'fastMeasure']) expect(code).toMatch(new RegExp(`function ${name}\\(`));
    for (const name of ['openFolder', 'jointSolve', 'cachedSource']) expect(code).not.toMatch(new RegExp(`function ${name}\\(`));
  });
  it('is the same each time', async () => expect(await measuringCode()).toBe(await measuringCode()));
});

describe('packMeasure', () => {
  const measure = someMeasure(1), packed = packMeasure('abc', measure);
  it('gives back every bit', () => expect(unpackMeasure('abc', packed)).toEqual(measure));
  it('knows its own key', () => expect(unpackMeasure('abd', packed)).toBeNull());
  it('takes no damaged byte, wherever it lies', () => {
    for (let i = 0; i < packed.length; i++) {
      const damaged = Buffer.from(packed);
      damaged[i] ^= 1 << i % 8;
      expect(unpackMeasure('abc', damaged), `byte ${i}`).toBeNull();
    }
  });
  it('takes nothing cut short', () => {
    for (let length = 0; length < packed.length; length++) expect(unpackMeasure('abc', packed.subarray(0, length)), `${length}`).toBeNull();
  });
});

describe('MeasureStore', () => {
  const make = (name: string, limit = 1e9): { store: MeasureStore; folder: string } => { const folder = path.join(root, name); return { store: new MeasureStore(folder, limit), folder }; };

  it('keeps and finds, and makes its folder only then', async () => {
    const { store, folder } = make('deep/er');
    expect(await store.get('aa')).toBeNull();
    expect(() => readdirSync(folder)).toThrow();
    await store.put('aa', someMeasure(2));
    expect(await store.get('aa')).toEqual(someMeasure(2));
    expect(await store.get('ab')).toBeNull();
    expect(readdirSync(folder)).toEqual(['aa.measure']);
  });
  it('takes a damaged entry as absent and writes it anew', async () => {
    const { store, folder } = make('damaged');
    await store.put('aa', someMeasure(3));
    writeFileSync(path.join(folder, 'aa.measure'), readFileSync(path.join(folder, 'aa.measure')).fill(0, 40, 44));
    expect(await store.get('aa')).toBeNull();
    await store.put('aa', someMeasure(3));
    expect(await store.get('aa')).toEqual(someMeasure(3));
  });
  it('lets the least recently used go when its limit is passed', async () => {
    const size = packMeasure('k0', someMeasure(4)).length, { store, folder } = make('limited', 5 * size);
    for (const [i, key] of ['k0', 'k1', 'k2', 'k3'].entries()) {
      await store.put(key, someMeasure(4));
      utimesSync(path.join(folder, `${key}.measure`), 1_000 + i, 1_000 + i);
    }
    await store.trim();
    expect(readdirSync(folder)).toHaveLength(4);
    await store.get('k0');
    await store.put('k4', someMeasure(4));
    await store.put('k5', someMeasure(4));
    await store.trim();
    // Nine tenths of five entries' room hold four.
    expect(readdirSync(folder).sort()).toEqual(['k0', 'k3', 'k4', 'k5'].map((key) => `${key}.measure`));
  });
  it('clears away what a killed process left, but not what one is writing now', async () => {
    const { store, folder } = make('left');
    await store.put('aa', someMeasure(5));
    const old = path.join(folder, 'bb.measure.1-0.part'), young = path.join(folder, 'bb.measure.2-0.part'), foreign = path.join(folder, 'notes.txt');
    for (const file of [old, young, foreign]) { writeFileSync(file, 'half'); }
    for (const file of [old, foreign]) utimesSync(file, 1_000, 1_000);
    // Left by a process whose clock stood in 2100.
    const ahead = path.join(folder, 'cc.measure.3-0.part');
    writeFileSync(ahead, 'half');
    utimesSync(ahead, 4_102_444_800, 4_102_444_800);
    await store.trim();
    expect(readdirSync(folder).sort()).toEqual(['aa.measure', 'bb.measure.2-0.part', 'notes.txt']);
  });
  it.runIf(process.platform !== 'win32')('is for its owner alone: pictures may be private', async () => {
    const { store, folder } = make('private');
    await store.put('aa', someMeasure(7));
    for (const place of [folder, path.join(folder, 'aa.measure')]) expect(statSync(place).mode & 0o077, place).toBe(0);
  });
  it('does not try again for every frame where one could not be kept', async () => {
    const { store, folder } = make('refused');
    writeFileSync(folder, 'a file');
    await store.put('aa', someMeasure(8));
    unlinkSync(folder);
    await store.put('bb', someMeasure(8));
    expect(() => readdirSync(folder)).toThrow();
  });
  it('does without a place that can’t be written to', async () => {
    writeFileSync(path.join(root, 'file'), '');
    const { store } = make('file/below');
    await store.put('aa', someMeasure(6));
    await store.trim();
    expect(await store.get('aa')).toBeNull();
    // Root may write anywhere.
    if (process.getuid?.() === 0) return;
    const { store: locked, folder } = make('locked');
    mkdirSync(folder);
    chmodSync(folder, 0o500);
    await locked.put('aa', someMeasure(6));
    expect(readdirSync(folder)).toEqual([]);
  });
});
