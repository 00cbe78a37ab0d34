import FFT from 'fft.js';
import type { SpectrumWindows } from './measure-plan.js';

/** Edge of a window, and its radial bins. */
export const SIZE_PX = 32, BINS = SIZE_PX / 2;
const MOST_WINDOWS = 80;

export const hann = Float64Array.from({ length: SIZE_PX }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / SIZE_PX));
/** Mean square of the two-dimensional window: divides the power so that white noise of unit variance reads 1. */
const windowPower = (hann.reduce((a, b) => a + b * b, 0) / SIZE_PX) ** 2;
/** Radial bin of every frequency of a half spectrum, column by column; BINS: beyond the last. How many fall into each. */
export const binOf = Uint8Array.from({ length: (BINS + 1) * SIZE_PX }, (_, i) => { const r = i % SIZE_PX; return Math.min(BINS, Math.floor(Math.hypot(r > BINS ? r - SIZE_PX : r, Math.floor(i / SIZE_PX)))); });
const counts = new Float64Array(BINS + 1);
for (const bin of binOf) counts[bin]++;

const fft = new FFT(SIZE_PX), input = new Array<number>(SIZE_PX).fill(0), line = fft.createComplexArray(), down = fft.createComplexArray(), downOut = fft.createComplexArray();
/** Half spectra of a window's rows: column by column, real and imaginary parts in turn. */
const half = new Float64Array((BINS + 1) * SIZE_PX * 2), values = new Float64Array(SIZE_PX * SIZE_PX), sums = new Float64Array(BINS + 1);

/** What the sums of power in each bin are multiplied with, for a picture of this mean. */
export function sharesOf(mean: number): Float64Array {
  return Float64Array.from({ length: BINS }, (_, i) => 1 / (SIZE_PX ** 2 * windowPower * mean * mean * Math.max(1, counts[i])));
}

/** Centres of the windows, in pixels, spread evenly over a picture. */
export function windowPlaces(rows: number, columns: number): Pick<SpectrumWindows, 'row' | 'column'> {
  const stride = Math.max(SIZE_PX / 2, Math.ceil(Math.sqrt((rows * columns) / MOST_WINDOWS))), row: number[] = [], column: number[] = [];
  for (let r = 0; r + SIZE_PX <= rows; r += stride) for (let c = 0; c + SIZE_PX <= columns; c += stride) { row.push(r + SIZE_PX / 2); column.push(c + SIZE_PX / 2); }
  return { row: Float32Array.from(row), column: Float32Array.from(column) };
}

/**
 * Radial power spectra of Hann-weighted windows spread evenly over a picture, by FFT.
 *
 * @param picture rows × columns, √luminance
 * @param mean its mean; spectra are of picture/mean
 */
export function spectrumWindows(picture: Float32Array, rows: number, columns: number, mean: number): SpectrumWindows {
  const { row, column } = windowPlaces(rows, columns), power = new Float32Array(row.length * BINS), shares = sharesOf(mean);
  for (let w = 0; w < row.length; w++) {
    radialPower(picture, columns, row[w] - SIZE_PX / 2, column[w] - SIZE_PX / 2);
    for (let i = 0; i < BINS; i++) power[w * BINS + i] = sums[i] * shares[i];
  }
  return { sizePx: SIZE_PX, row, column, bins: BINS, power };
}

/** Adds up one window's power by bins, into `sums`. */
function radialPower(picture: Float32Array, columns: number, top: number, left: number): void {
  let average = 0;
  for (let r = 0, i = 0; r < SIZE_PX; r++) for (let c = 0, at = (top + r) * columns + left; c < SIZE_PX; c++, i++, at++) average += values[i] = picture[at];
  average /= SIZE_PX ** 2;
  for (let r = 0, i = 0; r < SIZE_PX; r++) {
    for (let c = 0; c < SIZE_PX; c++, i++) input[c] = (values[i] - average) * hann[r] * hann[c];
    fft.realTransform(line, input);
    for (let c = 0, to = 2 * r; c <= BINS; c++, to += 2 * SIZE_PX) { half[to] = line[2 * c]; half[to + 1] = line[2 * c + 1]; }
  }
  sums.fill(0);
  for (let c = 0, bin = 0; c <= BINS; c++) {
    for (let i = 0, from = c * 2 * SIZE_PX; i < 2 * SIZE_PX; i++, from++) down[i] = half[from];
    fft.transform(downOut, down);
    for (let r = 0; r < SIZE_PX; r++, bin++) sums[binOf[bin]] += downOut[2 * r] * downOut[2 * r] + downOut[2 * r + 1] * downOut[2 * r + 1];
  }
}
