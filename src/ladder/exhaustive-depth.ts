import { energyAt, SPREADS, type FocusCurve } from './focus-curve.js';
import { orderAlong } from './order-along.js';
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
  const order = orderAlong(z);
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
  // Four depths share one pass over the frames that any of them reaches; outside its own reach a depth's entries are 0.
  const groups = Math.ceil(steps / 4), first = new Int32Array(groups), last = new Int32Array(groups);
  for (let g = 0; g < groups; g++) { first[g] = from[4 * g]; last[g] = to[Math.min(steps - 1, 4 * g + 3)]; }
  const tables = new Map<number, { h: Float32Array; perSquare: Float64Array }>();
  const tableOf = (band: number, spreadIndex: number) => {
    const key = band * SPREADS.length + spreadIndex;
    let table = tables.get(key);
    if (!table) {
      const h = new Float32Array(4 * groups * frames), perSquare = new Float64Array(4 * groups);
      for (let i = 0; i < steps; i++) {
        let square = 0;
        for (let a = from[i]; a < to[i]; a++) {
          const energy = energyAt(curves[band], spreadIndex, z[order[a]] - lowest - i * STEP);
          h[((i >> 2) * frames + a) * 4 + (i & 3)] = Math.sqrt(energy);
          square += energy;
        }
        perSquare[i] = square > 1e-9 ? 1 / square : 0;
      }
      table = { h, perSquare };
      tables.set(key, table);
    }
    return table;
  };
  const depth = new Float64Array(count), cost = new Float64Array(count).fill(Infinity);
  const values = new Float64Array(frames), taken = new Float64Array(4 * groups);
  for (let t = 0; t < count; t++) {
    let whole = 0;
    taken.fill(0);
    for (let b = 0; b < bands; b++) {
      const amplitude = tiles.amplitude[b], weight = tiles.weight[b][t], { h, perSquare } = tableOf(b, spread ? nearestSpread(spread[b][t]) : 0);
      let sum = 0;
      for (let a = 0; a < frames; a++) { const v = amplitude[t * frames + order[a]]; values[a] = v; sum += v * v; }
      whole += weight * sum;
      for (let g = 0; g < groups; g++) {
        let s0 = 0, s1 = 0, s2 = 0, s3 = 0;
        for (let a = first[g], end = last[g], i = (g * frames + a) * 4; a < end; a++, i += 4) {
          const v = values[a];
          s0 += v * h[i]; s1 += v * h[i + 1]; s2 += v * h[i + 2]; s3 += v * h[i + 3];
        }
        const i = 4 * g;
        taken[i] += weight * s0 * s0 * perSquare[i];
        taken[i + 1] += weight * s1 * s1 * perSquare[i + 1];
        taken[i + 2] += weight * s2 * s2 * perSquare[i + 2];
        taken[i + 3] += weight * s3 * s3 * perSquare[i + 3];
      }
    }
    let most = -Infinity, at = 0;
    for (let i = 0; i < steps; i++) if (taken[i] > most) { most = taken[i]; at = i; }
    depth[t] = lowest + at * STEP;
    cost[t] = whole - most;
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
