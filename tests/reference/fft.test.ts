import { createRequire } from 'node:module';
import { describe, expect, it } from 'vitest';
import { randomFrom } from '../../src/ladder/statistics.js';
import { spectrumWindows } from '../../src/sharpness/spectrum-windows.js';
import { bandFrequencies, windowSpectrum, WINDOW_PX } from '../../src/registration/window-spectrum.js';

const { FFT } = createRequire(import.meta.url)('ml-fft') as { FFT: { init(n: number): void; fft1d(re: number[], im: number[]): void } };
const random = randomFrom(3);
const size = WINDOW_PX;

/** Two-dimensional spectrum by ml-fft (reference library): rows, then columns. */
function referenceSpectrum(picture: ArrayLike<number>): { re: number[][]; im: number[][] } {
  FFT.init(size);
  const re = Array.from({ length: size }, (_, r) => Array.from({ length: size }, (__, c) => picture[r * size + c]));
  const im = re.map((row) => row.map(() => 0));
  for (let r = 0; r < size; r++) FFT.fft1d(re[r], im[r]);
  for (let c = 0; c < size; c++) {
    const columnRe = re.map((row) => row[c]), columnIm = im.map((row) => row[c]);
    FFT.fft1d(columnRe, columnIm);
    for (let r = 0; r < size; r++) { re[r][c] = columnRe[r]; im[r][c] = columnIm[r]; }
  }
  return { re, im };
}

const hann = Array.from({ length: size }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / size));

describe('window spectra against ml-fft (reference library)', () => {
  it('of the registration are the same numbers', () => {
    const picture = Float32Array.from({ length: size * size }, () => random());
    let mean = 0;
    const weight = hann.reduce((a, b) => a + b, 0) ** 2;
    for (let r = 0; r < size; r++) for (let c = 0; c < size; c++) mean += hann[r] * hann[c] * picture[r * size + c];
    mean /= weight;
    const windowed = Array.from(picture, (v, i) => (v - mean) * hann[Math.floor(i / size)] * hann[i % size]);
    const { re, im } = referenceSpectrum(windowed), got = windowSpectrum(picture, size, 0, 0);
    for (let i = 0; i < bandFrequencies.count; i++) {
      const r = Math.round(bandFrequencies.row[i] * size + size) % size, c = Math.round(bandFrequencies.column[i] * size);
      expect(got[2 * i]).toBeCloseTo(re[r][c], 4);
      expect(got[2 * i + 1]).toBeCloseTo(im[r][c], 4);
    }
  });

  it('of white noise have a flat power of its variance (Parseval)', () => {
    const rows = 512, columns = 512, sigma = 0.01, noise = new Float32Array(rows * columns);
    for (let i = 0; i < noise.length; i++) noise[i] = 1 + sigma * Math.sqrt(-2 * Math.log(random() + 1e-12)) * Math.cos(2 * Math.PI * random());
    const { power, bins, row } = spectrumWindows(noise, rows, columns, 1);
    for (let bin = 2; bin < bins; bin++) {
      let sum = 0;
      for (let w = 0; w < row.length; w++) sum += power[w * bins + bin];
      // 256 windows × dozens of components a bin: below 2 % standard error; 8 % allowed.
      expect(Math.abs(sum / row.length / sigma ** 2 - 1)).toBeLessThan(0.08);
    }
  });
});
