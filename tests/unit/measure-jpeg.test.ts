import { writeFileSync } from 'node:fs';
import path from 'node:path';
import type { Sharp } from 'sharp';
import { beforeAll, describe, expect, it } from 'vitest';
import { fromShortFloats } from '../../src/image/short-floats.js';
import { decodeFrame } from '../../src/io/decode-frame.js';
import { measureJpeg } from '../../src/io/measure-jpeg.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import { Arena } from '../../src/simd/filters.js';
import { measurePixels, type FastFilters } from '../../src/simd/measure-pixels.js';
import { noisePicture } from './io-helpers/picture.js';
import { filterKernel } from '../helpers/filter-kernels.js';
import { tempFolder } from './io-helpers/temp-folder.js';

const folder = tempFolder(), at = (name: string): string => path.join(folder, name);
const plan = { ...planMeasurement(120, 160, 0.42), bin: 2 };
let fast: FastFilters;
beforeAll(async () => {
  const filters = await filterKernel('filters-fused.wasm');
  fast = { filters, arena: new Arena(filters) };
});

describe('measureJpeg', () => {
  it.each([1, 2, 3])('measures what decoding first would measure, %i pixels averaged an axis', async (bin) => {
    const plan = { ...planMeasurement(120, 160, 0.42), bin };
    await noisePicture(160 * bin, 120 * bin).blur(1.2).jpeg({ quality: 92 }).toFile(at('plain.jpg'));
    const { measure } = (await measureJpeg(fast, at('plain.jpg'), plan))!, usual = measurePixels(fast, await decodeFrame(at('plain.jpg'), bin), plan);
    expect([measure.rows, measure.columns]).toEqual([120, 160]);
    // The usual decoder rounds to 8 bits: a third of a code, which 19 200 pixels average away.
    expect(Math.abs(measure.meanRoot / usual.meanRoot - 1)).toBeLessThan(2e-4);
    // Rounding adds an energy of its own, (0.4 codes)² against noise of some (8 codes)²; by chance it gives or takes 2 · 0.4/8/√n of a cell's, which holds
    // n independent values: some 20 in the fine band, one in the coarse. (0.4/8)² is 2.5e-3; the usual decoder rounds once where it averages two by two itself.
    measure.energy.forEach((energy, b) => {
      const own = fromShortFloats(energy, new Float32Array(energy.length)), other = fromShortFloats(usual.energy[b], new Float32Array(energy.length)), mean = other.reduce((sum, v) => sum + v, 0) / other.length;
      expect(Math.abs(own.reduce((sum, v) => sum + v, 0) / own.length / mean - 1)).toBeLessThan(bin === 2 ? 2e-3 : 3e-3);
      expect(Math.sqrt(own.reduce((sum, v, i) => sum + (v - other[i]) ** 2, 0) / own.length)).toBeLessThan([0.025, 0.05, 0.1][b] * mean);
    });
  });

  it('leaves other pictures to the usual decoder', async () => {
    const picture = (): Sharp => noisePicture(320, 240).blur(1);
    await picture().jpeg({ progressive: true }).toFile(at('progressive.jpg'));
    await picture().toColourspace('cmyk').jpeg().toFile(at('cmyk.jpg'));
    await picture().withIccProfile('p3').jpeg().toFile(at('p3.jpg'));
    await picture().withMetadata({ orientation: 6 }).jpeg().toFile(at('turned.jpg'));
    await picture().png().toFile(at('other.png'));
    for (const name of ['progressive.jpg', 'cmyk.jpg', 'p3.jpg', 'turned.jpg', 'other.png']) expect(await measureJpeg(fast, at(name), plan), name).toBeNull();
    await picture().withIccProfile('srgb').withMetadata({ orientation: 1 }).jpeg().toFile(at('tagged.jpg'));
    expect(await measureJpeg(fast, at('tagged.jpg'), plan)).not.toBeNull();
  });

  it('leaves files to the usual decoder that are cut short', async () => {
    const whole = await noisePicture(320, 240).jpeg().toBuffer();
    for (const share of [0, 0.01, 0.1, 0.5, 0.9, 0.99]) {
      writeFileSync(at('cut.jpg'), whole.subarray(0, Math.floor(whole.length * share)));
      expect(await measureJpeg(fast, at('cut.jpg'), plan), `${share}`).toBeNull();
    }
  });

  it('accepts no damaged file that the usual decoder refuses, and none with another picture', async () => {
    const whole = await noisePicture(160, 120).blur(0.7).jpeg().toBuffer(), random = randomFrom(8);
    let accepted = 0;
    for (let i = 0; i < 150; i++) {
      const bytes = Buffer.from(whole);
      bytes[Math.floor((random() < 0.5 ? 0.3 * random() : random()) * bytes.length)] = Math.floor(256 * random());
      writeFileSync(at('damaged.jpg'), bytes);
      const own = await measureJpeg(fast, at('damaged.jpg'), plan);
      if (own === null) continue;
      accepted++;
      const usual = measurePixels(fast, await decodeFrame(at('damaged.jpg'), 2), plan);
      expect(Math.abs(own.measure.meanRoot / usual.meanRoot - 1)).toBeLessThan(2e-3);
    }
    // Some damage changes numbers and no structure.
    expect(accepted).toBeGreaterThan(5);
  });
});
