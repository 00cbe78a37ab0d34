import { fastLocalMeans } from './fast-look-around.js';
import type { LadderState } from './joint-solve.js';
import type { SolveTiles } from './solve-tiles.js';
import { median } from './statistics.js';
import type { TileStack } from './tile-stack.js';

const RADIUS_TILES = 2, SAME_SURFACE_DOF = 1.5, LEAST_NEIGHBOURS = 4;

/** In-focus energy around each tile, per band, and how much of the tiles' differences from it is chance. */
export interface LocalEnergy { energy: Float64Array[]; chance: number[] }

/** What tiles are looked at around each: how far away on the grid, how near in depth, and how many at least. */
export interface Surroundings { reach: number; limit: number; least: number }
/** Means by band and tile, and which tiles had enough around them. */
export interface LocalMeans { energy: Float64Array[]; enough: Uint8Array }

/**
 * Mean in-focus energy of the tiles around each (5 × 5, of about the same depth). A tile's energy rests on few independent components, so it
 * differs from its neighbourhood by chance with relative variance 1/N; what it differs by beyond that is the texture itself.
 */
export function localEnergy({ gridRows, gridColumns, components }: Pick<TileStack, 'gridRows' | 'gridColumns' | 'components'>, { tile }: Pick<SolveTiles, 'tile'>, { lnAmplitude, depth }: Pick<LadderState, 'lnAmplitude' | 'depth'>): LocalEnergy {
  const own = lnAmplitude.map((ln) => ln.map((v) => Math.exp(2 * v))), around = { reach: RADIUS_TILES, limit: SAME_SURFACE_DOF, least: LEAST_NEIGHBOURS };
  const { energy, enough } = fastLocalMeans(tile, gridRows, gridColumns, depth, own, around) ?? plainLocalMeans(tile, gridRows, gridColumns, depth, own, around);
  const chance = own.map((values, b) => {
    const squares = new Float64Array(values.length), mean = energy[b];
    let count = 0;
    for (let t = 0; t < values.length; t++) if (enough[t]) squares[count++] = (values[t] / mean[t] - 1) ** 2;
    // The median of a squared deviation stands for its mean by 0.455 for normal values (chi-square, one degree of freedom).
    return count > 50 ? Math.min(1, 1 / components[b] / Math.max(1e-6, median(squares.subarray(0, count)) / 0.455)) : 0;
  });
  return { energy, chance };
}

function plainLocalMeans(tile: Int32Array, rows: number, columns: number, depth: Float64Array, own: readonly Float64Array[], { reach, limit, least }: Surroundings): LocalMeans {
  const place = new Int32Array(rows * columns).fill(-1), energy = own.map((values) => values.slice()), enough = new Uint8Array(tile.length), near = new Int32Array((2 * reach + 1) ** 2);
  tile.forEach((t, i) => { place[t] = i; });
  tile.forEach((t, i) => {
    const r = Math.floor(t / columns), c = t % columns, here = depth[i];
    let count = 0;
    for (let y = Math.max(0, r - reach); y <= Math.min(rows - 1, r + reach); y++) for (let x = Math.max(0, c - reach); x <= Math.min(columns - 1, c + reach); x++) {
      const other = place[y * columns + x];
      if (other >= 0 && Math.abs(depth[other] - here) < limit) near[count++] = other;
    }
    if (count < least) return;
    enough[i] = 1;
    own.forEach((values, b) => {
      let sum = 0;
      for (let n = 0; n < count; n++) sum += values[near[n]];
      energy[b][i] = sum / count;
    });
  });
  return { energy, enough };
}
