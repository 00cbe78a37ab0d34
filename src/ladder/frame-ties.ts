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

function tilesNear(z: Float64Array, depth: Float64Array): Int32Array {
  const near = new Int32Array(z.length);
  for (let t = 0; t < depth.length; t++) for (let k = 0, here = depth[t]; k < z.length; k++) if (Math.abs(z[k] - here) < HELD_DOF) near[k]++;
  return near;
}
