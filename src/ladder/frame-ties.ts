import type { FrameTie, LadderState } from './joint-solve.js';
import { orderAlong } from './order-along.js';
import { median } from './statistics.js';

/** A frame with a surface this near is held by what it shows, and its tie is nominal. */
const HELD_DOF = 3;
const LEAST_TILES = 20;
/** Standard deviations of a tie, DOF and as a share of the usual step. */
const NOMINAL_DOF = 2, LOOSE_SHARE = 0.8;

/**
 * Ties between neighbours along the axis at the usual step. Between frames that show a surface they weigh nothing beside thousands of
 * tiles; a frame far from every surface would drift without bounds, and is kept near where an even rail would have put it.
 */
export function frameTies(state: Pick<LadderState, 'z' | 'depth'>): FrameTie[] {
  const { z, depth } = state;
  const near = tilesNear(z, depth), order = orderAlong(z);
  const steps = order.slice(1).map((k, i) => z[k] - z[order[i]]), usual = Math.max(0.1, median(steps));
  return order.slice(1).map((to, i) => {
    const from = order[i], held = near[from] >= LEAST_TILES && near[to] >= LEAST_TILES;
    return { from, to, step: usual, spread: held ? NOMINAL_DOF : LOOSE_SHARE * usual };
  });
}

/** Tiles within reach of each frame: of the depths in order, those between two places. */
function tilesNear(z: Float64Array, depth: Float64Array): Int32Array {
  const sorted = depth.slice().sort();
  return Int32Array.from(z, (here) => placeIn(sorted, (d) => d - here >= HELD_DOF) - placeIn(sorted, (d) => here - d < HELD_DOF));
}

/** How many values come before the first that `is`, where all after it are, too. */
function placeIn(sorted: Float64Array, is: (value: number) => boolean): number {
  let low = 0, high = sorted.length;
  while (low < high) { const middle = (low + high) >> 1; if (is(sorted[middle])) high = middle; else low = middle + 1; }
  return low;
}
