import { describe, expect, it } from 'vitest';
import { luminanceFromPixels } from '../../src/image/luminance.js';
import { fromShortFloats } from '../../src/image/short-floats.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import { compactMeasure } from '../../src/sharpness/compact-measure.js';
import { measureFrame } from '../../src/sharpness/measure-frame.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import { fastMeasure } from '../../src/simd/fast-measure.js';
import { Arena } from '../../src/simd/filters.js';
import { measurePixels } from '../../src/simd/measure-pixels.js';
import { pixelRows } from '../../src/simd/pixel-rows.js';
import { FILTER_FILES, filterKernel } from '../helpers/filter-kernels.js';

/** The plain TypeScript filters, checked against reference libraries elsewhere, are the reference here. */
describe.each(FILTER_FILES)('SIMD filters against the plain ones: %s', (file) => {
  const random = randomFrom(4);
  for (const [rows, columns, channels, cutoff] of [[203, 317, 3, 0.42], [160, 256, 1, 0.6], [150, 201, 4, 0.2]] as const) {
    it(`give the same measures for ${columns}×${rows} pixels of ${channels} channels`, async () => {
      const filters = await filterKernel(file);
      const pixels = Uint8Array.from({ length: rows * columns * channels }, (_, i) => (i % 997 === 0 ? 255 : 120 + Math.floor(12 * random())));
      const plan = { ...planMeasurement(rows, columns, cutoff), bin: cutoff < 0.3 ? 2 : 1 };
      const plain = measureFrame(luminanceFromPixels(pixels, rows, columns, channels, plan.bin), plan);
      const arena = new Arena(filters), fast = fastMeasure(filters, arena, pixelRows(filters, arena, pixels, rows, columns, channels, plan.bin), plan);
      expect([fast.rows, fast.columns, fast.cellRows, fast.cellColumns]).toEqual([plain.rows, plain.columns, plain.cellRows, plain.cellColumns]);
      // The polynomial for the tone curve is good for 1.9e-6 of the root (assembly/light.ts).
      expect(Math.abs(fast.meanRoot / plain.meanRoot - 1)).toBeLessThan(1.5e-6);
      // Both round to single precision, in another order; three Laplacians multiply white rounding noise by √13 each: below 1 % of a cell's
      // energy in the coarse band, and nothing on the mean.
      const near = (a: Float32Array, b: Float32Array, share: number) => {
        expect(a.length).toBe(b.length);
        const mean = b.reduce((sum, v) => sum + v, 0) / b.length;
        expect(Math.abs(a.reduce((sum, v) => sum + v, 0) / b.length - mean)).toBeLessThan(1e-2 * share * mean + 1e-12);
        // Short floats are rounded at 2⁻¹¹ (image/short-floats.ts).
        a.forEach((v, i) => expect(Math.abs(v - b[i])).toBeLessThan(share * mean + 2 ** -11 * b[i] + 1e-12));
      };
      const compact = compactMeasure(plain), plainly = (codes: Uint16Array): Float32Array => fromShortFloats(codes, new Float32Array(codes.length));
      plain.energy.forEach((energy, b) => near(plainly(fast.energy[b]), energy, 0.01));
      fast.brightness.forEach((code, i) => expect(Math.abs(code - compact.brightness[i])).toBeLessThanOrEqual(1));
      expect(fast.clipped).toEqual(compact.clipped);
      // √luminance near a half is rounded at 3e-8 several times, which is some 5e-6 of the noise's amplitudes here; a power is off by twice an
      // amplitude's error times itself. What rounding leaves of a window's mean is less than a thousandth of what noise leaves in the two lowest bins.
      plain.spectra.forEach((windows, level) => {
        if (windows === null) { expect(fast.spectra[level]).toBeNull(); return; }
        expect([fast.spectra[level]!.row, fast.spectra[level]!.column]).toEqual([windows.row, windows.column]);
        const largest = windows.power.reduce((most, v) => Math.max(most, v), 0);
        windows.power.forEach((v, i) => expect(Math.abs(fast.spectra[level]!.power[i] - v)).toBeLessThan((i % windows.bins < 2 ? 1e-3 : 1e-5) * v + 1e-5 * Math.sqrt(v * largest)));
      });
      fast.registration.pixels.forEach((v, i) => expect(Math.abs(v - compact.registration.pixels[i])).toBeLessThanOrEqual(1));
    });
  }
});

describe('fastMeasure', () => {
  it('is not led off by what the picture before has left in the memory', async () => {
    const filters = await filterKernel('filters.wasm'), arena = new Arena(filters), random = randomFrom(12);
    const rows = 230, columns = 190, plan = planMeasurement(rows, columns, 0.3), pictures = [120, 60].map((least) => Uint8Array.from({ length: rows * columns }, () => least + Math.floor(40 * random())));
    const measured = (picture: Uint8Array, at: Arena): unknown => { at.reset(); return fastMeasure(filters, at, pixelRows(filters, at, picture, rows, columns, 1, plan.bin), plan); };
    const alone = pictures.map((picture) => measured(picture, arena));
    expect(measured(pictures[0], arena)).toEqual(alone[0]);
    expect(measured(pictures[1], arena)).toEqual(alone[1]);
    new Uint8Array(filters.memory.buffer, filters.heapStart()).fill(0xff);
    expect(measured(pictures[1], arena)).toEqual(alone[1]);
  });
});

describe('measurePixels', () => {
  const random = randomFrom(9), rows = 120, columns = 160, pixels = Uint8Array.from({ length: rows * columns * 3 }, () => 120 + Math.floor(12 * random()));
  const plan = planMeasurement(rows, columns, 0.42);

  it('falls back to the plain filters where the fast ones get no memory', async () => {
    const filters = await filterKernel('filters.wasm');
    // WebAssembly.Memory's own answer where no more is granted (WebAssembly JavaScript Interface, grow).
    const memory = { buffer: filters.memory.buffer, grow: (): number => { throw new RangeError('could not grow'); } };
    const arena = new Arena({ ...filters, memory });
    expect(() => pixelRows({ ...filters, memory }, arena, new Uint8Array(1e7), 1000, 3300, 3, 1)).toThrow(RangeError);
    const measure = measurePixels({ filters: { ...filters, memory }, arena }, { pixels, rows, columns, channels: 3, shrink: 1 }, plan);
    expect(measure).toEqual(compactMeasure(measureFrame(luminanceFromPixels(pixels, rows, columns, 3, 1), plan)));
  });
  it('does not hide any other fault', async () => {
    const filters = await filterKernel('filters.wasm');
    const broken = { ...filters, bandRows: () => { throw new Error('a fault'); } };
    expect(() => measurePixels({ filters: broken, arena: new Arena(broken) }, { pixels, rows, columns, channels: 3, shrink: 1 }, plan)).toThrow('a fault');
  });
});
