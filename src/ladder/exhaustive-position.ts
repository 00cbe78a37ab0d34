import { fastPositions } from './fast-exhaustive.js';
import { energyAt, type FocusCurve } from './focus-curve.js';
import { nearestSpread } from './nearest-spread.js';
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
  const { count, frames } = tiles, positions = Array.from(z), lowest = Math.min(...positions) - beyond, highest = Math.max(...positions) + beyond;
  const steps = Math.floor((highest - lowest) / STEP) + 1, reach = Math.max(...curves.map((c) => c.reach)) * 1.2;
  const grid = Float64Array.from({ length: steps }, (_, i) => lowest + i * STEP);
  // Grid × frame while it is summed up: every place on the grid touches all frames of a tile.
  const byPlace = fastPositions(curves, tiles, { lowest, step: STEP, steps, reach }, depth, amplitude, spread) ?? plainPositions(curves, tiles, grid, reach, depth, amplitude, spread);
  const cost = new Float64Array(frames * steps), empty = new Float64Array(frames), wide = byPlace.length / steps;
  for (let i = 0; i < steps; i++) for (let k = 0; k < frames; k++) cost[k * steps + i] = byPlace[i * wide + k];
  curves.forEach((_, b) => {
    const values = tiles.amplitude[b];
    for (let t = 0, i = 0; t < count; t++) for (let k = 0; k < frames; k++, i++) empty[k] += tiles.weight[b][t] * values[i] ** 2;
  });
  return { grid, cost, empty };
}

function plainPositions(curves: readonly FocusCurve[], tiles: SolveTiles, grid: Float64Array, reach: number, depth: ArrayLike<number>,
  amplitude: readonly Float64Array[], spread: readonly Float64Array[] | null): Float64Array {
  const { count, frames } = tiles, byPlace = new Float64Array(grid.length * frames);
  for (let t = 0; t < count; t++) curves.forEach((curve, b) => {
    const w = tiles.weight[b][t], s = spread ? nearestSpread(spread[b][t]) : 0, values = tiles.amplitude[b].subarray(t * frames, (t + 1) * frames);
    const first = Math.max(0, Math.ceil((depth[t] - reach - grid[0]) / STEP)), last = Math.min(grid.length - 1, Math.floor((depth[t] + reach - grid[0]) / STEP));
    for (let i = first; i <= last; i++) {
      const model = amplitude[b][t] * Math.sqrt(energyAt(curve, s, grid[i] - depth[t]));
      for (let k = 0; k < frames; k++) byPlace[i * frames + k] += w * model * (model - 2 * values[k]);
    }
  });
  return byPlace;
}
