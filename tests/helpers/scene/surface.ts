import type { Random } from '../render/random.js';
import { spectralNoise } from './spectral-noise.js';

export type SurfaceKind = 'plane' | 'dome' | 'ridges' | 'relief' | 'flat';

/**
 * Height of a surface over the grid, 0 (nearest) … 1 (farthest) within the picture; it may run on a little outside.
 * @param picture the part of the grid that frames show, in grid points, centred
 */
export function surfaceShape(kind: SurfaceKind, rows: number, columns: number, picture: { rows: number; columns: number }, random: Random): Float32Array {
  const out = new Float32Array(rows * columns);
  const turn = random.between(0, 2 * Math.PI);
  const cos = Math.cos(turn), sin = Math.sin(turn);
  const waves = random.between(2, 3.2), lean = random.between(0.3, 0.7);
  const rough = kind === 'relief' ? spectralNoise(rows, columns, random.between(1.7, 2.1), random, 3, 2) : null;
  for (let row = 0; row < rows; row++) {
    const y = (row - (rows - 1) / 2) / picture.rows;
    for (let column = 0; column < columns; column++) {
      const x = (column - (columns - 1) / 2) / picture.columns;
      const i = row * columns + column, along = x * cos + y * sin;
      if (kind === 'plane') out[i] = along;
      else if (kind === 'dome') out[i] = Math.sqrt(1.3 - Math.min(0.9, x * x * 1.6 + y * y * 1.6)) * -1;
      else if (kind === 'ridges') out[i] = triangle(along * waves) * 0.5 + lean * (x * sin - y * cos) * 0.6;
      else if (rough) out[i] = rough[i];
    }
  }
  return spanPicture(out, rows, columns, picture);
}

function triangle(x: number): number { return Math.abs(2 * (x - Math.floor(x)) - 1); }

/** Shifts and scales so that the picture's part runs from 0 to 1 exactly. */
export function spanPicture(shape: Float32Array, rows: number, columns: number, picture: { rows: number; columns: number }): Float32Array {
  let low = Infinity, high = -Infinity;
  const top = Math.floor((rows - picture.rows) / 2), left = Math.floor((columns - picture.columns) / 2);
  for (let row = top; row < top + picture.rows; row++) {
    for (let column = left; column < left + picture.columns; column++) {
      low = Math.min(low, shape[row * columns + column]);
      high = Math.max(high, shape[row * columns + column]);
    }
  }
  const span = high > low ? high - low : 1;
  return shape.map((v) => (v - low) / span);
}
