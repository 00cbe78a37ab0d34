import { mkdirSync, writeFileSync } from 'node:fs';
import { open, type FileHandle } from 'node:fs/promises';
import path from 'node:path';
import sharp from 'sharp';
import { beforeAll, describe, expect, it, vi } from 'vitest';
import { decodeFrame } from '../../src/io/decode-frame.js';
import { openFolder } from '../../src/io/open-folder.js';
import { readHeader } from '../../src/io/read-header.js';
import { sizeAndTime } from '../../src/serve/analysis/folder-stamp.js';
import { FramePictures } from '../../src/serve/pictures/frame-pictures.js';
import { noisePicture } from './io-helpers/picture.js';
import { factsInJpeg, rawFile, rawKinds, type RawKind, type Shot } from './io-helpers/raw-files.js';
import { tempFolder } from './io-helpers/temp-folder.js';

const folder = tempFolder();
const at = (name: string): string => path.join(folder, name);
const columns = 960, rows = 640;
let full: Buffer, thumbnail: Buffer;
const shot = (more: Partial<Shot> = {}): Shot => ({ full, thumbnail, orientation: 1, columns, rows, ...more });

beforeAll(async () => {
  full = await noisePicture(columns, rows, 5).jpeg({ quality: 90 }).toBuffer();
  thumbnail = await noisePicture(160, 120, 6).jpeg().toBuffer();
});

/** Writes one and reads it back. */
async function written(kind: RawKind, more: Partial<Shot> = {}, name = `a.${kind}`): Promise<string> {
  const jpeg = factsInJpeg.has(kind)
    ? await sharp(full).withExif({ IFD0: { Model: 'Bench camera' }, IFD2: { FNumber: '28/10', DateTimeOriginal: '2026:11:20 10:11:12', SubSecTimeOriginal: '25', FocalPlaneXResolution: '2500/1', FocalPlaneYResolution: '2500/1', FocalPlaneResolutionUnit: '3', PixelXDimension: `${more.columns ?? columns}` } }).withMetadata({ orientation: more.orientation ?? 1 }).jpeg({ quality: 90 }).toBuffer()
    : full;
  writeFileSync(at(name), rawFile(kind, shot({ full: jpeg, ...more })));
  return at(name);
}

describe.each(rawKinds)('a raw file of kind %s', (kind) => {
  it('is as large as its largest JPEG, with what the camera wrote', async () => {
    const header = await readHeader(await written(kind, {}, `A.${kind.toUpperCase()}`));
    expect(header).toMatchObject({ rows, columns, problem: null, fromRaw: true });
    // 2500 pixels a centimetre are 4 µm each (EXIF 2.32, unit 3).
    expect(header.facts).toMatchObject({ cameraModel: 'Bench camera', fNumber: 2.8, captureTimeMs: Date.UTC(2026, 10, 20, 10, 11, 12, 250) });
    if (kind !== 'raf') expect(header.facts.pixelPitchUm).toBeCloseTo(4, 9);
    expect(header.facts.sensorPixelsPerPixel).toBeUndefined();
  });
  it.each([1, 3, 6, 8])('is turned upright from orientation %i', async (orientation) => {
    const file = await written(kind, { orientation });
    const frame = await decodeFrame(file), header = await readHeader(file);
    expect([header.rows, header.columns]).toEqual([frame.rows, frame.columns]);
    // EXIF 2.32, tag 0x112: 3 is upside down, 6 is turned clockwise to be seen, 8 the other way.
    const upright = await sharp(full).rotate({ 1: 0, 3: 180, 6: 90, 8: 270 }[orientation] ?? 0).raw().toBuffer({ resolveWithObject: true });
    expect([frame.rows, frame.columns]).toEqual([upright.info.height, upright.info.width]);
    // RAF's picture is coded a second time by the test, to carry its camera data.
    if (kind !== 'raf') expect(Buffer.compare(Buffer.from(frame.pixels as Uint8Array), upright.data)).toBe(0);
  });
  it('says how much smaller its JPEG is than the shot, and that pixels are larger by as much', async () => {
    const { facts } = await readHeader(await written(kind, { columns: 3 * columns, rows: 3 * rows }));
    expect(facts.sensorPixelsPerPixel).toBeCloseTo(3, 9);
    expect(facts.otherColumns).toBeUndefined();
  });
  it('is no frame where its only JPEG is a thumbnail', async () => {
    const { problem } = await readHeader(await written(kind, { full: thumbnail }));
    expect(problem).toMatch(/only JPEG is 160 × 120 pixels small: develop/);
  });
  it.each([0.03, 0.5, 0.9])('is not read to half when %f of it are there', async (share) => {
    const whole = rawFile(kind, shot());
    const upToPicture = whole.indexOf(full) + full.length;
    writeFileSync(at(`cut.${kind}`), whole.subarray(0, Math.floor(upToPicture * share)));
    expect((await readHeader(at(`cut.${kind}`))).problem).not.toBeNull();
    await expect(decodeFrame(at(`cut.${kind}`))).rejects.toThrow();
  });
});

describe('what one maker does in several ways', () => {
  it.each([
    ['orf', 'om-system'], ['orf', 'settings-in-note'], ['orf', 'other-magic'], ['cr3', 'narrow-offsets'], ['raf', 'sensor-size-alone'],
  ] as const)('%s, %s: the picture and the facts are found all the same', async (kind, variant) => {
    const file = await written(kind, { variant, columns: 3 * columns, rows: 3 * rows, orientation: 6 }), header = await readHeader(file);
    expect(header).toMatchObject({ rows: columns, columns: rows, problem: null, facts: { cameraModel: 'Bench camera', fNumber: 2.8 } });
    // Where a sensor says its own size alone, margins of some 30 pixels count along.
    expect(Math.abs((header.facts.sensorPixelsPerPixel ?? 1) - 3)).toBeLessThan(0.05);
    expect((await decodeFrame(file)).rows).toBe(columns);
  });
  it.each(['nef', 'cr2', 'orf', 'rw2', 'pef', 'dng'] as const)('%s of a camera that also saves small pictures, and writes their width: the shot’s own counts', async (kind) => {
    const { facts } = await readHeader(await written(kind, { columns: 3 * columns, rows: 3 * rows, writtenColumns: columns }));
    // RW2 tells the sensor's width, 16 columns more.
    expect(Math.abs((facts.sensorPixelsPerPixel ?? 1) - 3)).toBeLessThan(0.02);
  });
});

describe('a raw file’s header', () => {
  it.each(rawKinds)('of kind %s is read without its picture', async (kind) => {
    // As large as a camera's: what follows the picture's own first segments does not matter to the header.
    const camera = Buffer.concat([full.subarray(0, -2), Buffer.alloc(12e6), full.subarray(-2)]);
    writeFileSync(at(`large.${kind}`), rawFile(kind, shot({ full: camera })));
    const handle = await open(at(`large.${kind}`)), reads = vi.spyOn(Object.getPrototypeOf(handle) as FileHandle, 'read');
    await handle.close();
    try {
      expect(await readHeader(at(`large.${kind}`))).toMatchObject({ rows, columns, problem: null });
      const bytes = (await Promise.all(reads.mock.results.map((result) => result.value as Promise<{ bytesRead: number }>))).reduce((sum, { bytesRead }) => sum + bytesRead, 0);
      // A few blocks: directories, the first segments of each JPEG, the camera's data.
      expect(bytes).toBeGreaterThan(100);
      expect(bytes).toBeLessThan(500e3);
    } finally {
      reads.mockRestore();
    }
  });
  it('of RW2 names the larger of its two pictures', async () => {
    const small = await sharp(full).resize(480).jpeg().toBuffer();
    // PanasonicRaw 0x2e (JpgFromRaw) and 0x127 (JpgFromRaw2), as a public table of tag names calls them.
    writeFileSync(at('two.rw2'), rawFile('rw2', shot({ full: small, larger: full })));
    expect(await readHeader(at('two.rw2'))).toMatchObject({ rows, columns, problem: null });
  });
  it('of a build nobody knows is named, whatever its ending', async () => {
    const odd = at('odd-makers');
    mkdirSync(odd);
    for (const ending of ['x3f', 'mrw', 'rwl', 'srw', 'crw']) writeFileSync(path.join(odd, `a.${ending}`), 'FOVb and so on');
    await noisePicture(columns, rows, 7).jpeg().toFile(path.join(odd, 'b.jpg'));
    const { frames } = await openFolder(odd);
    expect(frames.map(({ file, problem }) => [file, problem === null])).toEqual([['a.crw', false], ['a.mrw', false], ['a.rwl', false], ['a.srw', false], ['a.x3f', false], ['b.jpg', true]]);
    for (const { problem } of frames.slice(0, 5)) expect(problem).toMatch(/develop it to JPEG or TIFF/);
  });
});

describe('raw files in a folder', () => {
  it('are counted once with the picture beside them, by the larger of the two', async () => {
    const pairs = at('pairs');
    mkdirSync(pairs);
    const raw = rawFile('nef', shot());
    for (const name of ['P1.NEF', 'P2.nef', 'P3.NEF', 'P4.NEF']) writeFileSync(path.join(pairs, name), raw);
    await noisePicture(columns, rows, 7).jpeg().toFile(path.join(pairs, 'P1.JPG'));
    await noisePicture(columns / 2, rows / 2, 7).jpeg().toFile(path.join(pairs, 'P2.jpg'));
    writeFileSync(path.join(pairs, 'p3.jpg'), 'damaged');
    for (const sidecar of ['P1.xmp', 'P1.NEF.pp', '._P1.NEF', '.P9.NEF', 'Thumbs.db', 'desktop.ini', '.DS_Store', 'P1.wav']) writeFileSync(path.join(pairs, sidecar), 'x');
    const { frames } = await openFolder(pairs);
    expect(frames.map(({ file, beside, problem }) => [file, beside, problem])).toEqual([['P1.JPG', 'P1.NEF', null], ['P2.nef', 'P2.jpg', null], ['P3.NEF', 'p3.jpg', null], ['P4.NEF', undefined, null]]);
  });
  it('that hold no picture stay in the list, with what to do', async () => {
    const none = at('none');
    mkdirSync(none);
    writeFileSync(path.join(none, 'a.cr3'), rawFile('cr3', shot()));
    writeFileSync(path.join(none, 'b.dng'), rawFile('nef', shot({ full: Buffer.alloc(900) })));
    writeFileSync(path.join(none, 'c.orf'), 'not a raw file');
    const { frames } = await openFolder(none);
    expect(frames[1].problem).toMatch(/no JPEG .* develop it/);
    expect(frames[2].problem).toMatch(/no JPEG .* develop it/);
  });
  it('under a picture’s name are not taken by their thumbnail', async () => {
    // Its first directory is 8 × 8 samples that a decoder shows.
    for (const name of ['hidden.tif', 'hidden.jpg']) {
      writeFileSync(at(name), rawFile('nef', shot()));
      expect((await readHeader(at(name))).problem, name).toMatch(/raw file under another name/);
    }
  });
  it('may be JPEG in truth', async () => {
    writeFileSync(at('renamed.nef'), full);
    expect(await readHeader(at('renamed.nef'))).toMatchObject({ rows, columns, problem: null });
    expect((await decodeFrame(at('renamed.nef'))).columns).toBe(columns);
  });
  it('are shown in the window by the same picture', async () => {
    const file = await written('cr3', { orientation: 6 }, 'shown.cr3');
    const pictures = new FramePictures([{ file: 'a.cr3', path: file, rows: columns, columns: rows, stamp: await sizeAndTime(file) }]);
    expect(await pictures.level(0, 1)).toMatchObject({ rows: columns / 2, columns: rows / 2 });
  });
});
