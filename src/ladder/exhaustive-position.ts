import { energyAt, type FocusCurve } from './focus-curve.js';
import { nearestSpread } from './exhaustive-depth.js';
import type { SolveTiles } from './solve-tiles.js';

const STEP = 0.1;

/** Cost of every frame at every position of a grid, with tile depths and amplitudes held. */
export interface PositionCosts {
  /** Grid positions, DOF. */
  grid: Float64Array;
  /** frame × grid: cost relative to an empty model; add `empty` for the full cost. */
  cost: Float64Array;
  /** Per frame: cost of a model that is zero everywhere. */
  empty: Float64Array;
}

/** Tries every frame at every position from 4 DOF before the ladder to 4 DOF behind it, in steps of 0.1 DOF. */
export function exhaustivePosition(curves: readonly FocusCurve[], tiles: SolveTiles, z: ArrayLike<number>, depth: ArrayLike<number>,
  amplitude: readonly Float64Array[], spread: readonly Float64Array[] | null, beyond = 4): PositionCosts {
  const { count, frames } = tiles, bands = curves.length;
  let lowest = Infinity, highest = -Infinity;
  for (let k = 0; k < frames; k++) { lowest = Math.min(lowest, z[k]); highest = Math.max(highest, z[k]); }
  lowest -= beyond; highest += beyond;
  const steps = Math.floor((highest - lowest) / STEP) + 1;
  const grid = Float64Array.from({ length: steps }, (_, i) => lowest + i * STEP);
  const cost = new Float64Array(frames * steps), empty = new Float64Array(frames);
  // Grid × frame while it is summed up: every place on the grid touches all frames of a tile.
  const byPlace = new Float64Array(steps * frames), line = new Float64Array(frames);
  const farthest = Math.max(...curves.map((c) => c.reach)) * 1.2;
  for (let t = 0; t < count; t++) {
    for (let b = 0; b < bands; b++) {
      const w = tiles.weight[b][t], a = amplitude[b][t], s = spread ? nearestSpread(spread[b][t]) : 0, curve = curves[b];
      const values = tiles.amplitude[b];
      for (let k = 0; k < frames; k++) { const v = values[t * frames + k]; empty[k] += w * v * v; line[k] = 2 * v; }
      const first = Math.max(0, Math.ceil((depth[t] - farthest - lowest) / STEP)), last = Math.min(steps - 1, Math.floor((depth[t] + farthest - lowest) / STEP));
      for (let i = first; i <= last; i++) {
        const model = a * Math.sqrt(energyAt(curve, s, grid[i] - depth[t])), wm = w * model, row = i * frames;
        for (let k = 0; k < frames; k++) byPlace[row + k] += wm * (model - line[k]);
      }
    }
  }
  for (let i = 0; i < steps; i++) for (let k = 0; k < frames; k++) cost[k * steps + i] = byPlace[i * frames + k];
  return { grid, cost, empty };
}
