import { energyAt, SPREADS, type FocusCurve } from './focus-curve.js';
import type { SolveTiles } from './solve-tiles.js';

const STEP = 0.1;

/** Index of the tabulated spread nearest to sigma. */
export function nearestSpread(sigma: number): number {
  let best = 0;
  for (let i = 1; i < SPREADS.length; i++) if (Math.abs(SPREADS[i] - sigma) < Math.abs(SPREADS[best] - sigma)) best = i;
  return best;
}

/**
 * The depth at which each tile fits its focus curve best, tried on a grid of 0.1 DOF over the ladder and `beyond` DOF on both sides.
 * For each depth the amplitude that fits best follows in closed form.
 *
 * @param z frame positions, DOF
 * @param spread per band, depth spread of each tile, DOF; null: none
 * @returns depth and weighted cost of each tile
 */
export function exhaustiveDepth(curves: readonly FocusCurve[], tiles: SolveTiles, z: ArrayLike<number>, spread: readonly Float64Array[] | null, beyond = 3): { depth: Float64Array; cost: Float64Array } {
  const { count, frames } = tiles, bands = curves.length;
  const order = Array.from({ length: frames }, (_, k) => k).sort((a, b) => z[a] - z[b]);
  const lowest = z[order[0]] - beyond, highest = z[order[frames - 1]] + beyond;
  const steps = Math.floor((highest - lowest) / STEP) + 1;
  const farthest = Math.max(...curves.map((c) => c.reach)) * 1.2;
  const from = new Int32Array(steps), to = new Int32Array(steps);
  for (let i = 0; i < steps; i++) {
    const d = lowest + i * STEP;
    let a = 0;
    while (a < frames && z[order[a]] < d - farthest) a++;
    let b = a;
    while (b < frames && z[order[b]] <= d + farthest) b++;
    from[i] = a; to[i] = b;
  }
  const tables = new Map<number, { h: Float32Array; square: Float64Array }>();
  const tableOf = (band: number, spreadIndex: number) => {
    const key = band * SPREADS.length + spreadIndex;
    let table = tables.get(key);
    if (!table) {
      const h = new Float32Array(steps * frames), square = new Float64Array(steps);
      for (let i = 0; i < steps; i++) for (let a = from[i]; a < to[i]; a++) {
        const energy = energyAt(curves[band], spreadIndex, z[order[a]] - lowest - i * STEP);
        h[i * frames + a] = Math.sqrt(energy);
        square[i] += energy;
      }
      table = { h, square };
      tables.set(key, table);
    }
    return table;
  };
  const depth = new Float64Array(count), cost = new Float64Array(count).fill(Infinity);
  const line = Array.from({ length: bands }, () => new Float32Array(frames));
  for (let t = 0; t < count; t++) {
    let whole = 0;
    const used = line.map((values, b) => {
      let sum = 0;
      for (let a = 0; a < frames; a++) { const v = tiles.amplitude[b][t * frames + order[a]]; values[a] = v; sum += v * v; }
      whole += tiles.weight[b][t] * sum;
      return tableOf(b, spread ? nearestSpread(spread[b][t]) : 0);
    });
    let best = Infinity, at = 0;
    for (let i = 0; i < steps; i++) {
      let taken = 0;
      for (let b = 0; b < bands; b++) {
        const { h, square } = used[b], values = line[b], row = i * frames;
        let sum = 0;
        for (let a = from[i]; a < to[i]; a++) sum += values[a] * h[row + a];
        if (sum > 0 && square[i] > 1e-9) taken += (tiles.weight[b][t] * sum * sum) / square[i];
      }
      const c = whole - taken;
      if (c < best) { best = c; at = i; }
    }
    depth[t] = lowest + at * STEP;
    cost[t] = best;
  }
  return { depth, cost };
}

/** The in-focus amplitude of each tile that fits best at its depth. */
export function fittedAmplitude(curves: readonly FocusCurve[], tiles: SolveTiles, z: ArrayLike<number>, depth: ArrayLike<number>, spread: readonly Float64Array[] | null): Float64Array[] {
  const { count, frames } = tiles;
  return curves.map((curve, b) => Float64Array.from({ length: count }, (_, t) => {
    const s = spread ? nearestSpread(spread[b][t]) : 0;
    let sum = 0, square = 0;
    for (let k = 0; k < frames; k++) {
      const energy = energyAt(curve, s, z[k] - depth[t]);
      sum += tiles.amplitude[b][t * frames + k] * Math.sqrt(energy);
      square += energy;
    }
    return Math.max(sum / Math.max(square, 1e-9), 1e-9);
  }));
}
