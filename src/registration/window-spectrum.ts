import FFT from 'fft.js';

/** Edge of the windows whose displacement is measured, in pixels of the registration picture. */
export const WINDOW_PX = 32;
const LOWEST = 1.2 / WINDOW_PX, HIGHEST = 0.42;

const hann = Float64Array.from({ length: WINDOW_PX }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / WINDOW_PX));
const hannSum = hann.reduce((a, b) => a + b, 0) ** 2;

/** The frequencies that are compared (one of each conjugate pair), in cycles per pixel, and where they stand in a half spectrum. */
export const bandFrequencies = (() => {
  const row: number[] = [], column: number[] = [], at: number[] = [];
  for (let c = 0; c <= WINDOW_PX / 2; c++) for (let r = 0; r < WINDOW_PX; r++) {
    const fr = (r > WINDOW_PX / 2 ? r - WINDOW_PX : r) / WINDOW_PX, fc = c / WINDOW_PX, f = Math.hypot(fr, fc);
    if (f < LOWEST || f > HIGHEST || (c === 0 && r > WINDOW_PX / 2)) continue;
    row.push(fr); column.push(fc); at.push(c * WINDOW_PX + r);
  }
  return { row: Float64Array.from(row), column: Float64Array.from(column), at: Int32Array.from(at), count: at.length };
})();

const fft = new FFT(WINDOW_PX);
const lines = Array.from({ length: WINDOW_PX }, () => fft.createComplexArray());
const input = new Array<number>(WINDOW_PX).fill(0), down = fft.createComplexArray(), downOut = fft.createComplexArray();
const half = new Float64Array(WINDOW_PX * (WINDOW_PX / 2 + 1) * 2);

/**
 * Hann-weighted spectrum of a window, its weighted mean taken out, at {@link bandFrequencies}: real and imaginary parts in turn.
 *
 * @param top, left first row and column of the window; it must lie inside the picture
 */
export function windowSpectrum(picture: Float32Array, columns: number, top: number, left: number): Float32Array {
  let mean = 0;
  for (let r = 0; r < WINDOW_PX; r++) for (let c = 0, i = (top + r) * columns + left; c < WINDOW_PX; c++, i++) mean += hann[r] * hann[c] * picture[i];
  mean /= hannSum;
  for (let r = 0; r < WINDOW_PX; r++) {
    for (let c = 0, i = (top + r) * columns + left; c < WINDOW_PX; c++, i++) input[c] = (picture[i] - mean) * hann[r] * hann[c];
    fft.realTransform(lines[r], input);
  }
  for (let c = 0; c <= WINDOW_PX / 2; c++) {
    for (let r = 0; r < WINDOW_PX; r++) { down[2 * r] = lines[r][2 * c]; down[2 * r + 1] = lines[r][2 * c + 1]; }
    fft.transform(downOut, down);
    for (let r = 0; r < WINDOW_PX; r++) { half[2 * (c * WINDOW_PX + r)] = downOut[2 * r]; half[2 * (c * WINDOW_PX + r) + 1] = downOut[2 * r + 1]; }
  }
  const out = new Float32Array(2 * bandFrequencies.count);
  bandFrequencies.at.forEach((at, i) => { out[2 * i] = half[2 * at]; out[2 * i + 1] = half[2 * at + 1]; });
  return out;
}
