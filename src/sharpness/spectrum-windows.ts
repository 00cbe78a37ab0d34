import FFT from 'fft.js';
import type { SpectrumWindows } from './measure-plan.js';

const SIZE_PX = 32;
const MOST_WINDOWS = 100;

const hann = Float64Array.from({ length: SIZE_PX }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / SIZE_PX));
/** Mean square of the two-dimensional window: divides the power so that white noise of unit variance reads 1. */
const windowPower = (hann.reduce((a, b) => a + b * b, 0) / SIZE_PX) ** 2;

/**
 * Radial power spectra of Hann-weighted windows spread evenly over a picture, by FFT.
 *
 * @param picture rows × columns, √luminance
 * @param mean its mean; spectra are of picture/mean
 */
export function spectrumWindows(picture: Float32Array, rows: number, columns: number, mean: number): SpectrumWindows {
  const bins = SIZE_PX / 2;
  const stride = Math.max(SIZE_PX, Math.ceil(Math.sqrt((rows * columns) / MOST_WINDOWS)));
  const tops: [number, number][] = [];
  for (let r = 0; r + SIZE_PX <= rows; r += stride) for (let c = 0; c + SIZE_PX <= columns; c += stride) tops.push([r, c]);
  const row = new Float32Array(tops.length), column = new Float32Array(tops.length), power = new Float32Array(tops.length * bins);
  const fft = new FFT(SIZE_PX);
  const lines = Array.from({ length: SIZE_PX }, () => fft.createComplexArray());
  const input = new Array<number>(SIZE_PX).fill(0), down = fft.createComplexArray(), downOut = fft.createComplexArray();
  const sums = new Float64Array(bins), counts = new Float64Array(bins);
  tops.forEach(([top, left], w) => {
    let average = 0;
    for (let r = 0; r < SIZE_PX; r++) for (let c = 0; c < SIZE_PX; c++) average += picture[(top + r) * columns + left + c];
    average /= SIZE_PX ** 2;
    for (let r = 0; r < SIZE_PX; r++) {
      for (let c = 0; c < SIZE_PX; c++) input[c] = (picture[(top + r) * columns + left + c] - average) * hann[r] * hann[c];
      fft.realTransform(lines[r], input);
    }
    sums.fill(0);
    counts.fill(0);
    for (let c = 0; c <= SIZE_PX / 2; c++) {
      for (let r = 0; r < SIZE_PX; r++) { down[2 * r] = lines[r][2 * c]; down[2 * r + 1] = lines[r][2 * c + 1]; }
      fft.transform(downOut, down);
      for (let r = 0; r < SIZE_PX; r++) {
        const bin = Math.floor(Math.hypot(r > SIZE_PX / 2 ? r - SIZE_PX : r, c));
        if (bin >= bins) continue;
        sums[bin] += downOut[2 * r] ** 2 + downOut[2 * r + 1] ** 2;
        counts[bin]++;
      }
    }
    row[w] = top + SIZE_PX / 2;
    column[w] = left + SIZE_PX / 2;
    const norm = 1 / (SIZE_PX ** 2 * windowPower * mean * mean);
    for (let i = 0; i < bins; i++) power[w * bins + i] = (sums[i] / Math.max(1, counts[i])) * norm;
  });
  return { sizePx: SIZE_PX, row, column, bins, power };
}
