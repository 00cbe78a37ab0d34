import type { LadderState } from './joint-solve.js';
import type { SolveTiles } from './solve-tiles.js';
import { median } from './statistics.js';
import type { TileStack } from './tile-stack.js';

const RADIUS_TILES = 2, SAME_SURFACE_DOF = 1.5, LEAST_NEIGHBOURS = 4;

/** In-focus energy around each tile, per band, and how much of the tiles' differences from it is chance. */
export interface LocalEnergy { energy: Float64Array[]; chance: number[] }

/**
 * Mean in-focus energy of the tiles around each (5 × 5, of about the same depth). A tile's energy rests on few independent components, so it
 * differs from its neighbourhood by chance with relative variance 1/N; what it differs by beyond that is the texture itself.
 */
export function localEnergy(stack: TileStack, tiles: SolveTiles, state: LadderState): LocalEnergy {
  const { gridRows, gridColumns } = stack, place = new Int32Array(gridRows * gridColumns).fill(-1);
  tiles.tile.forEach((t, i) => { place[t] = i; });
  const own = state.lnAmplitude.map((ln) => ln.map((v) => Math.exp(2 * v)));
  const energy = own.map((values) => values.slice()), squares: number[][] = own.map(() => []), { depth } = state, near = new Int32Array((2 * RADIUS_TILES + 1) ** 2);
  tiles.tile.forEach((t, i) => {
    const r = Math.floor(t / gridColumns), c = t % gridColumns, here = depth[i];
    let count = 0;
    for (let y = Math.max(0, r - RADIUS_TILES); y <= Math.min(gridRows - 1, r + RADIUS_TILES); y++) for (let x = Math.max(0, c - RADIUS_TILES); x <= Math.min(gridColumns - 1, c + RADIUS_TILES); x++) {
      const other = place[y * gridColumns + x];
      if (other >= 0 && Math.abs(depth[other] - here) < SAME_SURFACE_DOF) near[count++] = other;
    }
    if (count < LEAST_NEIGHBOURS) return;
    own.forEach((values, b) => {
      let sum = 0;
      for (let n = 0; n < count; n++) sum += values[near[n]];
      energy[b][i] = sum / count;
      squares[b].push((values[i] / energy[b][i] - 1) ** 2);
    });
  });
  // The median of a squared deviation stands for its mean by 0.455 for normal values (chi-square, one degree of freedom).
  const chance = squares.map((list, b) => (list.length > 50 ? Math.min(1, 1 / stack.components[b] / Math.max(1e-6, median(list) / 0.455)) : 0));
  return { energy, chance };
}
