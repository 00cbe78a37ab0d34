import FFT from 'fft.js';

/** Edge of the windows whose displacement is measured, in pixels of the registration picture. */
export const WINDOW_PX = 32;
const LOWEST = 1.2 / WINDOW_PX, HIGHEST = 0.42;

/** Hann weights of a window that lies `offset` pixels further than its pixels. */
function hannAt(offset: number, out: Float64Array): Float64Array {
  for (let i = 0; i < WINDOW_PX; i++) {
    const x = i + 0.5 - offset;
    out[i] = x > 0 && x < WINDOW_PX ? 0.5 - 0.5 * Math.cos((2 * Math.PI * x) / WINDOW_PX) : 0;
  }
  return out;
}
const rowWeight = new Float64Array(WINDOW_PX), columnWeight = new Float64Array(WINDOW_PX);

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
 * @param offsetRow, offsetColumn fraction of a pixel, −0.5 … 0.5, by which the weights lie further: a window that does not move with what it shows
 *   finds displacements too small, by 4–7 % here
 */
export function windowSpectrum(picture: Int16Array | Float32Array, columns: number, top: number, left: number, offsetRow = 0, offsetColumn = 0): Float32Array {
  hannAt(offsetRow, rowWeight);
  hannAt(offsetColumn, columnWeight);
  let mean = 0, total = 0;
  for (let r = 0; r < WINDOW_PX; r++) for (let c = 0, i = (top + r) * columns + left; c < WINDOW_PX; c++, i++) { const w = rowWeight[r] * columnWeight[c]; mean += w * picture[i]; total += w; }
  mean /= total;
  for (let r = 0; r < WINDOW_PX; r++) {
    for (let c = 0, i = (top + r) * columns + left; c < WINDOW_PX; c++, i++) input[c] = (picture[i] - mean) * rowWeight[r] * columnWeight[c];
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
