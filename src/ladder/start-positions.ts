import { exhaustiveDepth } from './exhaustive-depth.js';
import { exhaustivePosition, type PositionCosts } from './exhaustive-position.js';
import type { FocusCurve } from './focus-curve.js';
import { jointSolve, type LadderState } from './joint-solve.js';
import type { SolveTiles } from './solve-tiles.js';
import { frameTies } from './frame-ties.js';
import { median } from './statistics.js';
import type { TileStack } from './tile-stack.js';

/** Tiles that even steps are tried on. */
const SCALE_TILES = 130;
/** Even steps that are tried first, DOF. */
const SCALES = [0.15, 0.3, 0.45, 0.6, 0.8, 1.1, 1.5, 2] as const;

/** Positions, and what they cost a tile. */
export interface Start { z: Float64Array; cost: number }

/** Ladder state with tile depths and amplitudes fitted to given positions. */
export function stateAt(curves: readonly FocusCurve[], tiles: SolveTiles, z: Float64Array, spread: Float64Array[] | null): { state: LadderState; cost: Float64Array } {
  const { depth, cost, amplitude } = exhaustiveDepth(curves, tiles, z, spread);
  const state: LadderState = {
    z: z.slice(), depth, lnAmplitude: amplitude.map((a) => a.map(Math.log)),
    spread: spread ?? curves.map(() => new Float64Array(tiles.count)), gain: new Float64Array(curves.length * tiles.frames), bend: curves.map(() => new Float64Array(tiles.count)),
  };
  return { state, cost };
}

function freeSolve(curves: readonly FocusCurve[], tiles: SolveTiles, stack: TileStack, z: Float64Array, rounds: number): Float64Array {
  const { state } = stateAt(curves, tiles, z, null);
  jointSolve(curves, tiles, state, { freeGain: [], weight: curves.map(() => tiles.trust), noise: stack.noise, components: stack.components, ratioPrior: null, local: null, rounds, settled: 1e-4, ties: frameTies(state), entries: false });
  return state.z;
}

/** Every n-th tile, so that about `count` are left. */
function firstTiles(tiles: SolveTiles, count: number): SolveTiles {
  const stride = Math.max(1, Math.floor(tiles.count / count)), { frames } = tiles;
  const rows = Int32Array.from({ length: Math.ceil(tiles.count / stride) }, (_, i) => i * stride);
  const pick = (values: Float32Array): Float32Array => {
    const out = new Float32Array(rows.length * frames);
    rows.forEach((t, i) => out.set(values.subarray(t * frames, (t + 1) * frames), i * frames));
    return out;
  };
  return {
    count: rows.length, frames, tile: rows.map((t) => tiles.tile[t]), trust: pick(tiles.trust), energy: tiles.energy.map(pick), amplitude: tiles.amplitude.map(pick),
    weight: tiles.weight.map((w) => Float64Array.from(rows, (t) => w[t])),
  };
}

/** Even steps in the given order at the scale that fits best. */
export function evenSteps(curves: readonly FocusCurve[], tiles: SolveTiles, order: readonly number[]): Float64Array {
  const rank = new Float64Array(tiles.frames);
  order.forEach((k, i) => { rank[k] = i; });
  let best = Infinity, z = rank;
  const some = firstTiles(tiles, SCALE_TILES);
  for (const scale of SCALES) {
    const even = rank.map((r) => r * scale);
    const cost = exhaustiveDepth(curves, some, even, null).cost.reduce((a, b) => a + b, 0);
    if (cost < best) { best = cost; z = even; }
  }
  return z;
}

function costAt({ grid, cost }: PositionCosts, frame: number, z: number): number {
  const x = Math.min(Math.max((z - grid[0]) / (grid[1] - grid[0]), 0), grid.length - 1.001);
  const i = Math.floor(x), row = frame * grid.length;
  return cost[row + i] * (1 - (x - i)) + cost[row + i + 1] * (x - i);
}

/** Every frame at its best place between its neighbours in the order: unbounded, stretches of one depth fold onto their mirror image. */
function placeBetweenNeighbours(costs: PositionCosts, z: Float64Array, order: readonly number[]): void {
  const { grid, cost } = costs;
  order.forEach((k, i) => {
    const low = i > 0 ? z[order[i - 1]] : -Infinity, high = i + 1 < order.length ? z[order[i + 1]] : Infinity;
    let best = Infinity;
    for (let g = 0; g < grid.length; g++) if (grid[g] > low && grid[g] < high && cost[k * grid.length + g] < best) { best = cost[k * grid.length + g]; z[k] = grid[g]; }
  });
}

/** A frame whose best place over the whole range costs far less than its present one, and which fits badly there, goes there: a top-up shot afterwards. */
export function relocateMisfits(costs: PositionCosts, z: Float64Array): boolean {
  const { grid, cost, empty } = costs;
  const present = z.map((position, k) => costAt(costs, k, position) + empty[k]);
  const limit = 3 * median(present);
  let moved = false;
  z.forEach((_, k) => {
    let best = Infinity, at = 0;
    for (let g = 0; g < grid.length; g++) if (cost[k * grid.length + g] < best) { best = cost[k * grid.length + g]; at = grid[g]; }
    // A frame that shows next to nothing fits beyond either end alike: it stays where the order put it.
    const shows = best + empty[k] < 0.5 * empty[k];
    if (shows && best + empty[k] < 0.6 * present[k] && present[k] > limit) { z[k] = at; moved = true; }
  });
  return moved;
}

/** A frame that jumped over its neighbour goes back between its neighbours where it fits there about as well. */
export function unfold(curves: readonly FocusCurve[], tiles: SolveTiles, state: LadderState, order: readonly number[]): boolean {
  let changed = false;
  for (let pass = 0; pass < 3; pass++) {
    if (order.every((k, i) => i === 0 || state.z[k] >= state.z[order[i - 1]])) break;
    const amplitude = state.lnAmplitude.map((a) => a.map(Math.exp));
    const costs = exhaustivePosition(curves, tiles, state.z, state.depth, amplitude, state.spread);
    const { grid, cost, empty } = costs;
    let done = false;
    for (let i = 1; i < order.length && !done; i++) {
      if (state.z[order[i]] >= state.z[order[i - 1]]) continue;
      for (const j of [i - 1, i]) {
        const k = order[j];
        const low = j > 0 ? state.z[order[j - 1]] : state.z[order[j + 1]] - 2, high = j + 1 < order.length ? state.z[order[j + 1]] : state.z[order[j - 1]] + 2;
        if (high - low < 0.05) continue;
        let best = Infinity, at = 0;
        for (let g = 0; g < grid.length; g++) if (grid[g] > low && grid[g] < high && cost[k * grid.length + g] < best) { best = cost[k * grid.length + g]; at = grid[g]; }
        if (best + empty[k] < 1.1 * (costAt(costs, k, state.z[k]) + empty[k])) { state.z[k] = at; done = changed = true; break; }
      }
    }
    if (!done) break;
  }
  return changed;
}

/**
 * Frame positions to start the joint solve from, in the given order along the depth axis.
 *
 * @param order frames along the axis, or null to keep to the order of `from`
 * @param from positions to start from
 * @param rounds of exhaustive depths and positions
 */
export function startFrom(curves: readonly FocusCurve[], tiles: SolveTiles, stack: TileStack, order: readonly number[] | null, from: Float64Array, rounds: number): Start {
  let z: Float64Array = from.slice();
  if (order) for (let round = 0; round < rounds; round++) {
    const { state } = stateAt(curves, tiles, z, null);
    placeBetweenNeighbours(exhaustivePosition(curves, tiles, z, state.depth, state.lnAmplitude.map((a) => a.map(Math.exp)), null), z, order);
  }
  z = freeSolve(curves, tiles, stack, z, 8);
  let relocated = false, fitted = stateAt(curves, tiles, z, null);
  for (let pass = 0; pass < 3; pass++) {
    const { state } = fitted, costs = exhaustivePosition(curves, tiles, z, state.depth, state.lnAmplitude.map((a) => a.map(Math.exp)), null);
    if (!relocateMisfits(costs, z)) break;
    relocated = true;
    z = freeSolve(curves, tiles, stack, z, 8);
    fitted = stateAt(curves, tiles, z, null);
  }
  let { cost } = fitted;
  if (order && !relocated && unfold(curves, tiles, fitted.state, order)) {
    z = fitted.state.z;
    ({ cost } = stateAt(curves, tiles, z, null));
  }
  const limit = 4 * median(cost);
  return { z, cost: cost.reduce((sum, c) => sum + Math.min(c, limit), 0) / Math.max(1, tiles.count) };
}

/** Of several starts the cheapest; one that follows capture order, either way round, is preferred by a tenth. */
export function bestStart(starts: readonly Start[]): Start {
  const follows = (z: Float64Array) => z.every((v, k) => k === 0 || v - z[k - 1] > -0.03) || z.every((v, k) => k === 0 || v - z[k - 1] < 0.03);
  const price = (start: Start) => start.cost * (follows(start.z) ? 1 : 1.1);
  return starts.reduce((best, start) => (price(start) < price(best) ? start : best));
}
