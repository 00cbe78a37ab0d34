import { fastDepths } from './fast-exhaustive.js';
import { energyAt, SPREADS, type FocusCurve } from './focus-curve.js';
import { nearestSpread } from './nearest-spread.js';
import { orderAlong } from './order-along.js';
import type { SolveTiles } from './solve-tiles.js';

/** Where each tile fits its focus curve best, how well (weighted squares), and its in-focus amplitude there, band by band. */
export interface TileDepths { depth: Float64Array; cost: Float64Array; amplitude: Float64Array[] }

/** Depths to try: `lowest` + i · `step`. Frames in order of depth, with their positions; those farther than `reach` from a depth say nothing of it. */
export interface DepthGrid { order: number[]; z: Float64Array; lowest: number; step: number; steps: number; reach: number }

const STEP = 0.1, BEYOND_DOF = 3;
/** Variance of the depths found, from the grid alone, DOF². */
export const GRID_VARIANCE = STEP ** 2 / 12;
const LEAST_SQUARE = 1e-9, LEAST_AMPLITUDE = 1e-9;

/**
 * The depth at which each tile fits its focus curve best, on a grid of 0.1 DOF over the ladder and `beyond` DOF on both sides.
 * For each depth the amplitude that fits best follows in closed form.
 *
 * @param z frame positions, DOF
 * @param spread per band, depth spread of each tile, DOF; null: none
 */
export function exhaustiveDepth(curves: readonly FocusCurve[], tiles: SolveTiles, z: ArrayLike<number>, spread: readonly Float64Array[] | null, beyond = BEYOND_DOF): TileDepths {
  const grid = depthGrid(curves, z, beyond);
  return fastDepths(curves, tiles, grid, spread) ?? plainDepths(curves, tiles, grid, spread);
}

/** Depths to try over the ladder and `beyond` DOF on both sides. */
export function depthGrid(curves: readonly FocusCurve[], z: ArrayLike<number>, beyond = BEYOND_DOF): DepthGrid {
  const order = orderAlong(z), sorted = Float64Array.from(order, (k) => z[k]), lowest = sorted[0] - beyond;
  return { order, z: sorted, lowest, step: STEP, steps: Math.floor((sorted[sorted.length - 1] + beyond - lowest) / STEP) + 1, reach: Math.max(...curves.map((c) => c.reach)) * 1.2 };
}

function plainDepths(curves: readonly FocusCurve[], tiles: SolveTiles, { order, z, lowest, step, steps, reach }: DepthGrid, spread: readonly Float64Array[] | null): TileDepths {
  const { count, frames } = tiles;
  // Per band and spread: what each frame shows at each depth, and 1/Σ square.
  const tables = new Map<number, { shown: Float64Array; perSquare: Float64Array }>();
  const tableOf = (b: number, s: number) => {
    let table = tables.get(b * SPREADS.length + s);
    if (table) return table;
    tables.set(b * SPREADS.length + s, table = { shown: new Float64Array(steps * frames), perSquare: new Float64Array(steps) });
    for (let i = 0; i < steps; i++) {
      let square = 0;
      for (let a = 0; a < frames; a++) {
        const defocus = z[a] - lowest - i * step, energy = Math.abs(defocus) > reach ? 0 : energyAt(curves[b], s, defocus);
        table.shown[i * frames + a] = Math.sqrt(energy);
        square += energy;
      }
      table.perSquare[i] = square > LEAST_SQUARE ? 1 / square : 0;
    }
    return table;
  };
  const found: TileDepths = { depth: new Float64Array(count), cost: new Float64Array(count), amplitude: curves.map(() => new Float64Array(count)) };
  const sums = curves.map(() => new Float64Array(steps)), taken = new Float64Array(steps), values = curves.map(() => new Float64Array(frames));
  for (let t = 0; t < count; t++) {
    const used = curves.map((_, b) => {
      order.forEach((k, a) => { values[b][a] = tiles.amplitude[b][t * frames + k]; found.cost[t] += tiles.weight[b][t] * values[b][a] ** 2; });
      return tableOf(b, spread ? nearestSpread(spread[b][t]) : 0);
    });
    const tryDepth = (i: number): void => {
      taken[i] = 0;
      used.forEach(({ shown, perSquare }, b) => {
        let sum = 0;
        for (let a = 0, from = i * frames; a < frames; a++) sum += values[b][a] * shown[from + a];
        sums[b][i] = sum;
        taken[i] += tiles.weight[b][t] * sum * sum * perSquare[i];
      });
    };
    // Every second depth, then those beside the best: what is taken changes little over two tenths of a DOF.
    let at = 0;
    for (let i = 0; i < steps; i += 2) { tryDepth(i); if (taken[i] > taken[at]) at = i; }
    for (const i of [at - 1, at + 1]) if (i >= 0 && i < steps) { tryDepth(i); if (taken[i] > taken[at]) at = i; }
    found.depth[t] = lowest + at * step;
    found.cost[t] -= taken[at];
    used.forEach(({ perSquare }, b) => { found.amplitude[b][t] = Math.max(sums[b][at] * perSquare[at], LEAST_AMPLITUDE); });
  }
  return found;
}
