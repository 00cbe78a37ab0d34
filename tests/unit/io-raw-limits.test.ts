import { closeSync, ftruncateSync, openSync, writeFileSync, writeSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { isHevc } from '../../src/io/is-hevc.js';
import { boxesIn } from '../../src/io/raw/boxes.js';
import type { ByteSource } from '../../src/io/raw/byte-source.js';
import { jpegHeader } from '../../src/io/raw/jpeg-header.js';
import { previewBytes, previewCameraData } from '../../src/io/raw/preview-bytes.js';
import { rafContents } from '../../src/io/raw/raf-contents.js';
import { tiffContents } from '../../src/io/raw/tiff-contents.js';
import { inMemory } from '../../src/io/plain-jpeg-header.js';
import { readHeader } from '../../src/io/read-header.js';
import { noisePicture } from './io-helpers/picture.js';
import { rawFile } from './io-helpers/raw-files.js';
import { tempFolder } from './io-helpers/temp-folder.js';

const at = ((folder) => (name: string): string => path.join(folder, name))(tempFolder());

/** Reads of a file that has far more to offer than any camera writes. A walk without end would keep the thread, and no clock of the test's could end it: so the source does. */
const MOST_READS = 2_000;
function patient(bytes: Buffer): ByteSource {
  const source = inMemory(bytes);
  let reads = 0;
  return { size: source.size, read: (from, length) => { if (++reads > MOST_READS) throw new Error('reads on and on'); return source.read(from, length); } };
}

/** Directories of TIFF (6.0, section 2) with one tag each, the next of each given. */
function directories(nextOf: (i: number) => number, count: number, subDirectory?: number): Buffer {
  const bytes = Buffer.alloc(8 + 18 * count);
  bytes.write('II*\0', 'latin1');
  bytes.writeUInt32LE(8, 4);
  for (let i = 0, from = 8; i < count; i++, from += 18) {
    bytes.writeUInt16LE(1, from);
    // SubIFDs, one offset of 32 bits; or ImageWidth.
    bytes.writeUInt16LE(subDirectory === undefined ? 0x100 : 0x14a, from + 2);
    bytes.writeUInt16LE(4, from + 4);
    bytes.writeUInt32LE(1, from + 6);
    bytes.writeUInt32LE(subDirectory ?? 1, from + 10);
    bytes.writeUInt32LE(nextOf(i), from + 14);
  }
  return bytes;
}

describe('a raw file that leads on and on', () => {
  it('directories in a circle come to an end', async () => {
    expect((await tiffContents(patient(directories((i) => (i === 2 ? 8 : 8 + 18 * (i + 1)), 3))))?.candidates).toHaveLength(3);
    expect((await tiffContents(patient(directories(() => 0, 1, 8))))?.candidates).toHaveLength(1);
  });
  it('so does a chain of a thousand directories, and the first count', async () => {
    expect((await tiffContents(patient(directories((i) => 8 + 18 * (i + 1), 1_000))))?.candidates.length).toBeGreaterThan(10);
  });
  it('so do boxes, facts, segments and fill bytes', async () => {
    const boxes = Buffer.alloc(8 * 10_000);
    for (let i = 0; i < 10_000; i++) { boxes.writeUInt32BE(8, 8 * i); boxes.write('free', 8 * i + 4, 'latin1'); }
    expect((await boxesIn(patient(boxes), 0, boxes.length)).length).toBeGreaterThan(20);
    const raf = Buffer.alloc(200_000);
    raf.write('FUJIFILMCCD-RAW ', 'latin1');
    raf.writeUInt32BE(100, 92);
    raf.writeUInt32BE(0xffffffff, 100);
    expect((await rafContents(patient(raf)))?.columns).toBe(0);
    expect(await jpegHeader(patient(Buffer.concat([Buffer.from([0xff, 0xd8]), Buffer.alloc(200_000, 0xff)])))).toBeNull();
    // Application segments of nothing but their own length.
    expect(await jpegHeader(patient(Buffer.concat([Buffer.from([0xff, 0xd8]), ...Array.from({ length: 20_000 }, () => Buffer.from([0xff, 0xe3, 0, 2]))])))).toBeNull();
  });
});

describe('a raw file that promises too much', () => {
  it('a picture of hundreds of megabytes is refused before memory is taken for it', async () => {
    const file = at('sparse.nef'), length = 300e6, handle = openSync(file, 'w');
    writeSync(handle, 'II');
    // Nothing but a size: the disk keeps no byte of it.
    ftruncateSync(handle, length + 100);
    closeSync(handle);
    const preview = { at: 50, length, orientation: 1, tags: {}, shotColumns: 0, header: { rows: 100, columns: 100, exif: { at: 2, length: 40 }, orientation: null } };
    await expect(previewBytes(file, preview)).rejects.toThrow(/longer than any camera/);
    await expect(previewCameraData(file, preview)).rejects.toThrow(/longer than any camera/);
  });
  it('a picture of more pixels than are read is named by its header, as it is where it stands alone', async () => {
    const jpeg = await noisePicture(64, 48).jpeg().toBuffer(), frame = jpeg.indexOf(Buffer.from([0xff, 0xc0]));
    // ITU-T T.81, B.2.2: rows and columns of the picture, two bytes each.
    jpeg.writeUInt32BE(0x80008000, frame + 5);
    writeFileSync(at('huge.nef'), rawFile('nef', { full: jpeg, thumbnail: jpeg, orientation: 1, columns: 0x8000, rows: 0x8000 }));
    expect((await readHeader(at('huge.nef'))).problem).toMatch(/more pixels than can be read/);
    writeFileSync(at('huge.jpg'), jpeg);
    expect((await readHeader(at('huge.jpg'))).problem).toMatch(/more pixels than can be read/);
  });
  it('nothing is an error that only asks what a file is', async () => {
    expect(await isHevc(at('absent.heic'))).toBe(false);
    expect(await isHevc(path.dirname(at('x')))).toBe(false);
  });
});
