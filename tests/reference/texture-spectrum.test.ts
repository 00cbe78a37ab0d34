import { describe, expect, it } from 'vitest';
import { sharpenSpectrum } from '../../src/ladder/sharpen-spectrum.js';
import { PARTS_PER_CELL, RADII, windowLeakage } from '../../src/ladder/window-leakage.js';
import { spectrumWindows } from '../../src/sharpness/spectrum-windows.js';
import { Random } from '../helpers/render/random.js';

const SIZE = 512, BINS = 16, DIRECTIONS = 72;

/** Waves in all directions at the given frequencies (cycles per 32 pixels), each of its own power per cycle², by direct summation. */
function waves(lines: { cells: number; power: number }[], seed: number): Float32Array {
  const random = new Random(seed), out = new Float32Array(SIZE * SIZE);
  for (const { cells, power } of lines) for (let n = 0; n < DIRECTIONS; n++) {
    const angle = (Math.PI * (n + 0.37)) / DIRECTIONS, phase = random.between(0, 2 * Math.PI), f = cells / 32, amplitude = Math.sqrt((2 * power) / DIRECTIONS);
    const row = 2 * Math.PI * f * Math.sin(angle), column = 2 * Math.PI * f * Math.cos(angle);
    for (let r = 0, i = 0; r < SIZE; r++) for (let c = 0; c < SIZE; c++, i++) out[i] += amplitude * Math.sin(row * r + column * c + phase);
  }
  return out;
}
const meanPower = (picture: Float32Array): number[] => {
  const { power, row } = spectrumWindows(picture, SIZE, SIZE, 1);
  return Array.from({ length: BINS }, (_, i) => { let sum = 0; for (let w = 0; w < row.length; w++) sum += power[w * BINS + i]; return sum / row.length; });
};

describe('the spectrum behind Hann windows', () => {
  // Source: the FFT of sines that are summed directly; the kernel itself is made from the closed form of the Hann window's transform.
  it('leaks as the closed form says', () => {
    const cells = 6.4, seen = meanPower(waves([{ cells, power: 1 }], 5)), radius = Math.round(cells * PARTS_PER_CELL);
    const leak = windowLeakage().map((line, bin) => line[radius] * (2 * bin + 1)), total = leak.reduce((a, b) => a + b, 0), all = seen.reduce((sum, v, bin) => sum + v * (2 * bin + 1), 0);
    // Rings of cells are counted as 2i + 1, which is right to some percent of the ring; 72 directions of one random phase each.
    for (let bin = 4; bin <= 8; bin++) expect(Math.abs((seen[bin] * (2 * bin + 1)) / all - leak[bin] / total)).toBeLessThan(0.04);
  });

  it('is found again: two lines of which one has four times the power of the other, from a flat first idea', () => {
    const measured = meanPower(waves([{ cells: 4.5, power: 4 }, { cells: 9.5, power: 1 }], 7)), over = sharpenSpectrum(measured, measured.map(() => true), new Float64Array(RADII).fill(1));
    const around = (cells: number): number => { let sum = 0; for (let r = Math.round((cells - 1.5) * PARTS_PER_CELL); r < (cells + 1.5) * PARTS_PER_CELL; r++) sum += over[r] * r; return sum; };
    expect(around(4.5) / around(9.5)).toBeGreaterThan(3.2);
    expect(around(4.5) / around(9.5)).toBeLessThan(4.8);
    // Between them next to nothing, where the windows themselves show a tenth.
    expect(over[7 * PARTS_PER_CELL]).toBeLessThan(0.05 * over[Math.round(4.5 * PARTS_PER_CELL)]);
  });

  it('stays the first idea where that already explains what is measured', () => {
    const law = Float64Array.from({ length: RADII }, (_, r) => Math.max(r, 8) ** -2.6), measured = windowLeakage().map((line) => line.reduce((sum, v, r) => sum + v * law[r], 0));
    const over = sharpenSpectrum(measured, measured.map(() => true), law);
    for (let r = 3 * PARTS_PER_CELL; r < 14 * PARTS_PER_CELL; r++) expect(over[r]).toBeCloseTo(1, 6);
  });
});
