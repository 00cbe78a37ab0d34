import { writeFileSync } from 'node:fs';
import path from 'node:path';
import { crc32, deflateSync } from 'node:zlib';
import sharp, { type Sharp } from 'sharp';
import { describe, expect, it } from 'vitest';
import { luminanceFromPixels } from '../../src/image/luminance.js';
import { decodeFrame, type DecodedFrame } from '../../src/io/decode-frame.js';
import { readHeader } from '../../src/io/read-header.js';
import { flatBlockJpeg, type Sampling } from './io-helpers/flat-block-jpeg.js';
import { matrixProfile } from './io-helpers/matrix-profile.js';
import { noise, noisePicture } from './io-helpers/picture.js';
import { tempFolder } from './io-helpers/temp-folder.js';

const folder = tempFolder();
const at = (name: string): string => path.join(folder, name);
const patch = (colour: number[]): Sharp => sharp(Buffer.from(Array.from({ length: 16 * 16 }, () => colour).flat()), { raw: { width: 16, height: 16, channels: 3 } });
const middle = ({ pixels, columns, channels }: DecodedFrame): number[] => [...pixels.subarray((8 * columns + 8) * channels, (8 * columns + 9) * channels)];

describe('JPEG as cameras write it', () => {
  it.each(['4:4:4', '4:2:2', '4:2:0', '4:4:0'] satisfies Sampling[])('chroma %s leaves luma in its place', async (sampling) => {
    const random = noise(9), luma = Array.from({ length: 8 * 12 }, () => 40 + Math.floor(170 * random())), cb = 110, cr = 140;
    writeFileSync(at('blocks.jpg'), flatBlockJpeg(8, 12, luma, cb, cr, sampling));
    expect(await readHeader(at('blocks.jpg'))).toMatchObject({ rows: 64, columns: 96, problem: null });
    const { pixels, columns } = await decodeFrame(at('blocks.jpg'));
    // ITU-T T.871 (JFIF), 7: from luma and chroma to RGB. One level for rounding.
    const rgb = (y: number): number[] => [y + 1.402 * (cr - 128), y - 0.344136 * (cb - 128) - 0.714136 * (cr - 128), y + 1.772 * (cb - 128)];
    luma.forEach((y, i) => {
      const from = ((Math.floor(i / 12) * 8 + 3) * columns + (i % 12) * 8 + 3) * 3;
      rgb(y).forEach((value, c) => expect(Math.abs(pixels[from + c] - Math.max(0, Math.min(255, value))), `block ${i}`).toBeLessThanOrEqual(1));
    });
  });
  it('progressive reads like baseline', async () => {
    await noisePicture(64, 48).jpeg().toFile(at('base.jpg'));
    await noisePicture(64, 48).jpeg({ progressive: true, optimiseScans: false }).toFile(at('progressive.jpg'));
    expect((await sharp(at('progressive.jpg')).metadata()).isProgressive).toBe(true);
    const base = await decodeFrame(at('base.jpg')), progressive = await decodeFrame(at('progressive.jpg'));
    expect(Buffer.compare(Buffer.from(base.pixels as Uint8Array), Buffer.from(progressive.pixels as Uint8Array))).toBe(0);
  });
  it('greyscale measures like the same grey in colour', async () => {
    await noisePicture(64, 48).toColourspace('b-w').jpeg({ quality: 100 }).toFile(at('grey.jpg'));
    expect((await sharp(at('grey.jpg')).metadata()).channels).toBe(1);
    const stored = await sharp(at('grey.jpg')).toColourspace('b-w').raw().toBuffer(), { pixels, channels } = await decodeFrame(at('grey.jpg'));
    expect(stored).toHaveLength(64 * 48);
    const one = luminanceFromPixels(stored, 48, 64, 1, 1).luminance, read = luminanceFromPixels(pixels, 48, 64, channels, 1).luminance;
    // Single precision.
    one.forEach((value, i) => expect(Math.abs(value - read[i])).toBeLessThan(1e-6));
  });
  // Presses reach less than screens, so that colours are moved inwards: what must hold is which is lighter, and which channel leads.
  it('CMYK is neither inverted nor confused', async () => {
    const white = await throughCmyk([255, 255, 255]), grey = await throughCmyk([128, 128, 128]), black = await throughCmyk([0, 0, 0]), green = await throughCmyk([90, 140, 100]);
    expect(Math.min(...white)).toBeGreaterThanOrEqual(250);
    expect(Math.max(...black)).toBeLessThan(60);
    grey.forEach((value, c) => { expect(value).toBeGreaterThan(black[c] + 30); expect(value).toBeLessThan(white[c] - 30); });
    expect(green[1]).toBeGreaterThan(Math.max(green[0], green[2]) + 10);
  });
  const throughCmyk = async (colour: number[]): Promise<number[]> => {
    await patch(colour).toColourspace('cmyk').withIccProfile('cmyk').jpeg({ quality: 100 }).toFile(at('cmyk.jpg'));
    expect((await sharp(at('cmyk.jpg')).metadata()).space).toBe('cmyk');
    const frame = await decodeFrame(at('cmyk.jpg'));
    expect(frame.channels).toBe(3);
    return middle(frame);
  };
  // EXIF 2.32, tag 0x112: how many quarter turns, then whether mirrored, to be seen as shot.
  it.each([1, 2, 3, 4, 5, 6, 7, 8])('orientation %i is turned upright without loss', async (orientation) => {
    await noisePicture(48, 32).jpeg().withMetadata({ orientation }).toFile(at('turned.jpg'));
    const stored = sharp(await sharp(at('turned.jpg'), { autoOrient: false }).raw().toBuffer(), { raw: { width: 48, height: 32, channels: 3 } });
    const steps: Record<number, [number, boolean, boolean]> = { 1: [0, false, false], 2: [0, false, true], 3: [180, false, false], 4: [0, true, false], 5: [90, false, true], 6: [90, false, false], 7: [270, false, true], 8: [270, false, false] };
    const [turn, flip, flop] = steps[orientation];
    const turned = await stored.rotate(turn).raw().toBuffer({ resolveWithObject: true });
    const upright = await sharp(turned.data, { raw: { width: turned.info.width, height: turned.info.height, channels: 3 } }).flip(flip).flop(flop).raw().toBuffer();
    const frame = await decodeFrame(at('turned.jpg'));
    expect([frame.rows, frame.columns]).toEqual([turned.info.height, turned.info.width]);
    expect(Buffer.compare(Buffer.from(frame.pixels as Uint8Array), upright)).toBe(0);
  });
});

describe('camera data', () => {
  it('that is damaged counts as unwritten, and the picture as whole', async () => {
    const whole = await noisePicture(64, 48).withExif({ IFD0: { Model: 'Bench camera' }, IFD2: { FNumber: '28/10' } }).jpeg().toBuffer(), from = whole.indexOf('Exif\0\0') + 6;
    writeFileSync(at('whole.jpg'), whole);
    expect((await readHeader(at('whole.jpg'))).facts).toMatchObject({ cameraModel: 'Bench camera', fNumber: 2.8 });
    // Byte order and place of the first directory (TIFF 6.0, section 2), then all of its entries.
    for (const [first, last] of [[0, 2], [4, 8], [8, 60]]) {
      writeFileSync(at('damaged.jpg'), Buffer.from(whole).fill(0xee, from + first, from + last));
      const { facts, ...header } = await readHeader(at('damaged.jpg'));
      expect(header, `${first}`).toMatchObject({ rows: 48, columns: 64, problem: null });
      expect(facts, `${first}`).toMatchObject({ cameraModel: null, fNumber: null });
    }
  });
});

describe('colour profiles', () => {
  // Adobe RGB (1998) Color Image Encoding, 2005-05, annex: primaries adapted to D50, exponent 2 51/256 (figures from memory).
  const wide = matrixProfile('Wide bench profile', [[0.60974, 0.31111, 0.01947], [0.20528, 0.62567, 0.06087], [0.14919, 0.06322, 0.74457]], 2 + 51 / 256);
  it.each([['green', [144, 255, 60], [0, 255, 0]], ['grey', [127, 127, 127], [127, 127, 127]], ['white', [255, 255, 255], [255, 255, 255]]])('Adobe RGB %s is converted', async (_, stored, expected) => {
    writeFileSync(at('wide.png'), withProfile(await patch(stored).png().toBuffer(), wide));
    // The figures are whole numbers of a table made for another conversion: 3 levels.
    middle(await decodeFrame(at('wide.png'))).forEach((value, c) => expect(Math.abs(value - expected[c]), `${c}`).toBeLessThanOrEqual(3));
  });
  it('with the name of sRGB but a straight curve are not taken for sRGB', async () => {
    // sRGB's primaries adapted to D50 (IEC 61966-2-1, figures from memory) and exponent 1.
    const straight = matrixProfile('sRGB linear', [[0.43607, 0.22249, 0.01392], [0.38515, 0.71687, 0.09708], [0.14307, 0.06061, 0.7141]], 1);
    writeFileSync(at('straight.png'), withProfile(await patch([55, 55, 55]).png().toBuffer(), straight));
    // IEC 61966-2-1: 55 of 255 in linear light is coded as 255 (1.055 (55/255)^(1/2.4) − .055) = 128.
    expect(Math.abs(middle(await decodeFrame(at('straight.png')))[0] - 128)).toBeLessThanOrEqual(1);
  });
});

describe('HEIF', () => {
  it.each([8, 10, 12] as const)('AV1 of %i bits is read', async (bitdepth) => {
    const random = noise(4), samples = Uint8Array.from({ length: 64 * 48 * 3 }, () => 256 * random());
    await sharp(samples, { raw: { width: 64, height: 48, channels: 3 } }).avif({ lossless: true, bitdepth, chromaSubsampling: '4:4:4' }).toFile(at('a.avif'));
    expect(await readHeader(at('a.avif'))).toMatchObject({ rows: 48, columns: 64, problem: null });
    const { pixels } = await decodeFrame(at('a.avif')), full = pixels instanceof Uint16Array ? 65535 : 255;
    expect(full).toBe(bitdepth === 8 ? 255 : 65535);
    // Lossless in its own colours; to them and back costs a level or two of 255.
    pixels.forEach((value, i) => expect(Math.abs(value / full - samples[i] / 255)).toBeLessThan(3 / 255));
  });
  it('HEVC is named, with what to do', async () => {
    await noisePicture(64, 48).avif().toFile(at('b.avif'));
    const bytes = (await sharp(at('b.avif')).toFormat('avif').toBuffer()).toString('latin1').replaceAll('av01', 'hvc1').replaceAll('av1C', 'hvcC').replaceAll('avif', 'heic');
    writeFileSync(at('b.heic'), bytes, 'latin1');
    const { problem } = await readHeader(at('b.heic'));
    expect(problem).toMatch(/HEVC.*export it as JPEG or TIFF/);
  });
  it('HEVC is named even where its header is whole, and whatever it is called', async () => {
    writeFileSync(at('c.heic'), heifOfHevc(640, 480));
    // What the picture library makes of it: it would have to decode it to notice.
    expect(await sharp(at('c.heic')).metadata()).toMatchObject({ format: 'heif', compression: 'hevc', width: 640, height: 480 });
    expect((await readHeader(at('c.heic'))).problem).toMatch(/HEVC.*export it as JPEG or TIFF/);
    writeFileSync(at('c.jpg'), heifOfHevc(640, 480));
    expect((await readHeader(at('c.jpg'))).problem).toMatch(/HEVC/);
  });
});

/** The boxes of a HEIF file with one picture (ISO/IEC 23008-12 and 14496-12, 8.11), coded with HEVC as its configuration says (14496-15, 8.3.3.1), and nothing that could be decoded. */
function heifOfHevc(columns: number, rows: number): Buffer {
  const hex = (text: string): Buffer => Buffer.from(text.replaceAll(' ', ''), 'hex'), u32 = (value: number): string => value.toString(16).padStart(8, '0');
  const box = (type: string, ...content: Buffer[]): Buffer => { const body = Buffer.concat(content); return Buffer.concat([hex(u32(body.length + 8)), Buffer.from(type, 'latin1'), body]); };
  const configuration = hex('01 01 60000000 900000000000 5a f000 fc fd f8 f8 0000 0f 00'), samples = Buffer.alloc(64, 0x5a);
  const head = box('ftyp', Buffer.from('heic\0\0\0\0mif1heic', 'latin1'));
  const meta = (samplesAt: number): Buffer => box('meta', hex('00000000'),
    box('hdlr', hex('00000000 00000000'), Buffer.from('pict', 'latin1'), Buffer.alloc(13)),
    box('pitm', hex('00000000 0001')),
    box('iloc', hex(`00000000 4400 0001 0001 0000 0001 ${u32(samplesAt)} ${u32(samples.length)}`)),
    box('iinf', hex('00000000 0001'), box('infe', hex('02000000 0001 0000'), Buffer.from('hvc1\0', 'latin1'))),
    box('iprp', box('ipco', box('hvcC', configuration), box('ispe', hex(`00000000 ${u32(columns)} ${u32(rows)}`))), box('ipma', hex('00000000 00000001 0001 02 81 02'))));
  return Buffer.concat([head, meta(head.length + meta(0).length + 8), box('mdat', samples)]);
}

/** PNG (third edition, 11.3.2.3): the profile goes into a chunk before the picture data. */
function withProfile(png: Buffer, profile: Buffer): Buffer {
  const content = Buffer.concat([Buffer.from('p\0\0', 'latin1'), deflateSync(profile)]), head = Buffer.alloc(8), sum = Buffer.alloc(4);
  head.writeUInt32BE(content.length);
  head.write('iCCP', 4, 'latin1');
  sum.writeUInt32BE(crc32(Buffer.concat([head.subarray(4), content])));
  const afterHeader = 8 + 25;
  return Buffer.concat([png.subarray(0, afterHeader), head, content, sum, png.subarray(afterHeader)]);
}
