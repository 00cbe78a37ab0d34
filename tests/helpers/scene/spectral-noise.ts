import { FftPlane, binFrequency } from '../render/fft-plane.js';
import type { Random } from '../render/random.js';

/**
 * Gaussian noise whose amplitude falls as frequency^−slope, wrapped around, mean 0, variance 1.
 * @param slope 0 = white; 1–2 = natural surfaces and relief
 * @param lowCyclesPerPicture frequencies below this many cycles over the longer side carry no more than it does
 * @param smoothPx Gaussian smoothing of this radius in grid points
 */
export function spectralNoise(rows: number, columns: number, slope: number, random: Random, lowCyclesPerPicture = 2, smoothPx = 0): Float32Array {
  const plane = new Float64Array(2 * rows * columns);
  for (let i = 0; i < rows * columns; i++) plane[2 * i] = random.normal();
  const fft = new FftPlane(rows, columns);
  fft.forward(plane);
  const floor = lowCyclesPerPicture / Math.max(rows, columns);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const f = Math.hypot(binFrequency(row, rows), binFrequency(column, columns));
      const gain = f === 0 ? 0 : Math.max(f, floor) ** -slope * Math.exp(-2 * (Math.PI * f * smoothPx) ** 2);
      plane[2 * (row * columns + column)] *= gain;
      plane[2 * (row * columns + column) + 1] *= gain;
    }
  }
  fft.inverse(plane);
  const out = new Float32Array(rows * columns);
  let squares = 0;
  for (let i = 0; i < out.length; i++) { out[i] = plane[2 * i]; squares += out[i] ** 2; }
  const sd = Math.sqrt(squares / out.length);
  return out.map((v) => v / sd);
}
