import type { Random } from '../render/random.js';
import type { Grid } from './build-scene.js';
import { spectralNoise } from './spectral-noise.js';

/** A rounded, uneven patch near the picture's middle that covers about `share` of it: 1 inside, soft over one grid point at its edge. */
export function patchCover(grid: Grid, share: number, random: Random): Float32Array {
  const { rows, columns, picture } = grid;
  const uneven = spectralNoise(rows, columns, 2, random, 2, 10 * grid.oversample);
  const centre = { row: rows / 2 + random.between(-0.1, 0.1) * picture.rows, column: columns / 2 + random.between(-0.1, 0.1) * picture.columns };
  const radius = Math.sqrt((share * picture.rows * picture.columns) / Math.PI);
  return uneven.map((v, i) => {
    const distance = Math.hypot(Math.floor(i / columns) - centre.row, (i % columns) - centre.column);
    return Math.max(0, Math.min(1, radius * (1 + 0.08 * v) - distance + 0.5));
  });
}
