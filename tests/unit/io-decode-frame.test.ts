import { readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { crc32 } from 'node:zlib';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { decodeFrame } from '../../src/io/decode-frame.js';
import { noise, noisePicture } from './io-helpers/picture.js';
import { tiff16 } from './io-helpers/tiff16.js';
import { tempFolder } from './io-helpers/temp-folder.js';

const folder = tempFolder();
const at = (name: string): string => path.join(folder, name);

describe('decodeFrame', () => {
  const random = noise(3);
  const samples = Uint16Array.from({ length: 12 * 8 * 3 }, () => 65536 * random());

  it('keeps 16 bits of a PNG', async () => {
    await sharp(samples, { raw: { width: 12, height: 8, channels: 3 } }).toColourspace('rgb16').png().toFile(at('deep.png'));
    const frame = await decodeFrame(at('deep.png'));
    expect([...frame.pixels]).toEqual([...samples]);
    expect(frame).toMatchObject({ rows: 8, columns: 12, channels: 3 });
  });
  it('keeps 16 bits of a TIFF', async () => {
    writeFileSync(at('deep.tif'), tiff16(12, 8, samples));
    expect([...(await decodeFrame(at('deep.tif'))).pixels]).toEqual([...samples]);
  });
  it('keeps 16 bits of a grey PNG', async () => {
    const grey = samples.subarray(0, 96);
    await sharp(grey, { raw: { width: 12, height: 8, channels: 1 } }).toColourspace('grey16').png().toFile(at('grey.png'));
    const frame = await decodeFrame(at('grey.png'));
    expect(frame.channels).toBe(1);
    expect([...frame.pixels]).toEqual([...grey]);
  });
  it.each(['webp', 'png', 'tiff'] as const)('reads 8-bit %s without loss', async (format) => {
    const pixels = Uint8Array.from({ length: 288 }, () => 256 * random());
    await sharp(pixels, { raw: { width: 12, height: 8, channels: 3 } }).toFormat(format, { lossless: true, compression: format === 'tiff' ? 'lzw' : undefined }).toFile(at(`a.${format}`));
    expect([...(await decodeFrame(at(`a.${format}`))).pixels]).toEqual([...pixels]);
  });

  // EXIF 2.3, tag 0x112: the corner of the picture as shown where the first stored sample lies.
  it.each([[1, 0, 0], [2, 0, 1], [3, 1, 1], [4, 1, 0], [5, 0, 0], [6, 0, 1], [7, 1, 1], [8, 1, 0]])('turns orientation %i upright', async (orientation, bottom, right) => {
    const pixels = new Uint8Array(4 * 2 * 3);
    pixels.fill(255, 0, 3);
    await sharp(pixels, { raw: { width: 4, height: 2, channels: 3 } }).png().withMetadata({ orientation }).toFile(at('turned.png'));
    const { rows, columns, pixels: shown } = await decodeFrame(at('turned.png'));
    expect([rows, columns]).toEqual(orientation >= 5 ? [4, 2] : [2, 4]);
    const bright = shown.findIndex((value) => value === 255) / 3;
    expect([Math.floor(bright / columns), bright % columns]).toEqual([bottom * (rows - 1), right * (columns - 1)]);
  });

  // CSS Color 4's test suite (from memory): color(display-p3 .26374 .59085 .16434) is sRGB #009900.
  it('converts Display P3 to sRGB', async () => {
    await sharp({ create: { width: 8, height: 8, channels: 3, background: '#009900' } }).withIccProfile('p3').png().toFile(at('p3.png'));
    const stored = await sharp(at('p3.png'), { ignoreIcc: true }).raw().toBuffer();
    [0.26374, 0.59085, 0.16434].forEach((code, i) => expect(Math.abs(stored[i] / 255 - code)).toBeLessThan(1.5 / 255));
    const { pixels } = await decodeFrame(at('p3.png'));
    // Two roundings to 8 bits and the profile's own table: 3 levels.
    [0, 0x99, 0].forEach((code, i) => expect(Math.abs(pixels[i] - code)).toBeLessThanOrEqual(3));
  });
  it('leaves pixels alone that are tagged sRGB', async () => {
    await noisePicture(16, 16).withIccProfile('srgb').png().toFile(at('srgb.png'));
    const stored = await sharp(at('srgb.png'), { ignoreIcc: true }).raw().toBuffer();
    expect([...(await decodeFrame(at('srgb.png'))).pixels]).toEqual([...stored]);
  });

  it.each(['jpeg', 'png', 'webp', 'tiff'] as const)('rejects a %s cut short at any place instead of using half of it', async (format) => {
    const whole = await noisePicture(64, 48).toFormat(format).toBuffer();
    for (const share of [0.1, 0.5, 0.9, 0.99]) {
      writeFileSync(at(`cut.${format}`), whole.subarray(0, Math.floor(whole.length * share)));
      await expect(decodeFrame(at(`cut.${format}`)), `${share}`).rejects.toThrow();
    }
  });
  it('takes a JPEG whose end is padded, as some cameras write it', async () => {
    await noisePicture(64, 48).jpeg().toFile(at('plain.jpg'));
    const whole = readFileSync(at('plain.jpg'));
    writeFileSync(at('padded.jpg'), Buffer.concat([whole.subarray(0, -2), Buffer.alloc(64), whole.subarray(-2)]));
    expect([...(await decodeFrame(at('padded.jpg'))).pixels]).toEqual([...(await decodeFrame(at('plain.jpg'))).pixels]);
  });
  it('takes a PNG whose colour data is nonsense: editors write such, and the picture is whole', async () => {
    const plain = await noisePicture(64, 48).png().toBuffer(), afterHeader = 8 + 25;
    writeFileSync(at('whole.png'), plain);
    for (const [type, content] of [['gAMA', [0, 0, 0, 0]], ['cHRM', [1, 2, 3]], ['sRGB', [77]], ['iCCP', [112, 0, 0, 9, 9, 9]]] as const) {
      const head = Buffer.alloc(8), sum = Buffer.alloc(4);
      head.writeUInt32BE(content.length);
      head.write(type, 4, 'latin1');
      sum.writeUInt32BE(crc32(Buffer.concat([head.subarray(4), Buffer.from(content)])));
      writeFileSync(at('odd.png'), Buffer.concat([plain.subarray(0, afterHeader), head, Buffer.from(content), sum, plain.subarray(afterHeader)]));
      expect([...(await decodeFrame(at('odd.png'))).pixels], type).toEqual([...(await decodeFrame(at('whole.png'))).pixels]);
    }
  });
  it('rejects what is no picture', async () => {
    writeFileSync(at('drawing.png'), '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="30"/>');
    await expect(decodeFrame(at('drawing.png'))).rejects.toThrow(/unsupported/);
  });
});
