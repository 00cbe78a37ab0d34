import { writeFileSync } from 'node:fs';
import path from 'node:path';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { decodeFrame } from '../../src/io/decode-frame.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import { tempFolder } from '../unit/io-helpers/temp-folder.js';

const folder = tempFolder();

describe('decoding at a reduced size', () => {
  // jidctred.c of libjpeg-turbo: each step from 8 to 4 "produces the four averages of two adjacent outputs", from 8 to 2 of four.
  it.each([2, 4, 8])('gives averages of %i × %i pixels', async (shrink) => {
    const rows = 256, columns = 384, random = randomFrom(5), samples = new Uint8Array(rows * columns);
    const waves = Array.from({ length: 30 }, () => ({ row: random() / shrink, column: random() / shrink, phase: 7 * random() }));
    for (let r = 0; r < rows; r++) for (let c = 0; c < columns; c++) {
      let sum = 0;
      for (const w of waves) sum += Math.sin(Math.PI * (w.row * r + w.column * c) + w.phase);
      samples[r * columns + c] = Math.round(128 + 6 * sum + random() - 0.5);
    }
    const file = path.join(folder, 'waves.jpg');
    await sharp(samples, { raw: { width: columns, height: rows, channels: 1 } }).jpeg({ quality: 95 }).toFile(file);
    const whole = await decodeFrame(file), reduced = await decodeFrame(file, shrink);
    let squares = 0, most = 0;
    for (let r = 0; r < reduced.rows; r++) for (let c = 0; c < reduced.columns; c++) {
      let sum = 0;
      for (let i = 0; i < shrink; i++) for (let j = 0; j < shrink; j++) sum += whole.pixels[((r * shrink + i) * columns + c * shrink + j) * whole.channels];
      const off = sum / shrink ** 2 - reduced.pixels[(r * reduced.columns + c) * reduced.channels];
      squares += off * off;
      most = Math.max(most, Math.abs(off));
    }
    // One rounding to 8 bits has a standard deviation of 0.29; the decoder's own integers add a little.
    expect(Math.sqrt(squares / (reduced.rows * reduced.columns))).toBeLessThan(0.4);
    expect(most).toBeLessThanOrEqual(2);
  });

  it('gives odd sizes rounded down, and turned upright', async () => {
    const file = path.join(folder, 'odd.jpg');
    await sharp({ create: { width: 301, height: 203, channels: 3, background: '#808080' } }).withMetadata({ orientation: 6 }).jpeg().toFile(file);
    expect(await decodeFrame(file, 2)).toMatchObject({ rows: 150, columns: 101 });
    expect(await decodeFrame(file)).toMatchObject({ rows: 301, columns: 203 });
  });

  it('takes progressive, grey and CMYK files as well', async () => {
    const picture = sharp({ create: { width: 320, height: 160, channels: 3, background: '#906030' } });
    await picture.clone().jpeg({ progressive: true }).toFile(path.join(folder, 'progressive.jpg'));
    await picture.clone().toColourspace('b-w').jpeg().toFile(path.join(folder, 'grey.jpg'));
    await picture.clone().toColourspace('cmyk').jpeg().toFile(path.join(folder, 'cmyk.jpg'));
    for (const name of ['progressive', 'grey', 'cmyk']) {
      const whole = await decodeFrame(path.join(folder, `${name}.jpg`)), half = await decodeFrame(path.join(folder, `${name}.jpg`), 2);
      expect(half).toMatchObject({ rows: 80, columns: 160, channels: whole.channels });
      half.pixels.forEach((v, i) => expect(Math.abs(v - whole.pixels[i % whole.channels])).toBeLessThanOrEqual(1));
    }
  });

  it('reads names that hold brackets', async () => {
    const file = path.join(folder, 'a[1] [x].jpg');
    await sharp({ create: { width: 64, height: 32, channels: 3, background: '#808080' } }).jpeg().toFile(file);
    expect(await decodeFrame(file, 2)).toMatchObject({ rows: 16, columns: 32 });
  });

  it('rejects a file cut short, like decoding at full size does', async () => {
    const noise = randomFrom(7), pixels = Uint8Array.from({ length: 128 * 96 * 3 }, () => 256 * noise());
    const whole = await sharp(pixels, { raw: { width: 128, height: 96, channels: 3 } }).jpeg().toBuffer();
    for (const share of [0.1, 0.5, 0.9, 0.99]) {
      const file = path.join(folder, `cut-${share}.jpg`);
      writeFileSync(file, whole.subarray(0, Math.floor(whole.length * share)));
      await expect(decodeFrame(file, 2), `${share}`).rejects.toThrow();
    }
  });
});
