import { quantile } from './statistics.js';

/** A jump of so many DOF halves what a tile is relied on; on rough ground, where neighbours differ like that everywhere, so many times the jumps of its smoother quarter. */
const HALF_JUMP_DOF = 0.6, HALF_JUMP_SHARE = 4;
const SMOOTHER = 0.25;

/**
 * How far each tile shows one depth. A tile on the edge between two surfaces comes out between them: its neighbours on both sides differ from it like a slope's, but those beyond
 * lie no further off. Such tiles follow no focus curve, and pull frames that stand near one of the surfaces.
 *
 * @param depth rows × columns, DOF; NaN where unknown
 * @param tiles places of the tiles asked about
 * @returns 0…1
 */
export function mixedTrust(depth: Float64Array, rows: number, columns: number, tiles: Int32Array): Float64Array {
  const trust = new Float64Array(tiles.length);
  for (let n = 0; n < tiles.length; n++) trust[n] = jumpAt(depth, rows, columns, tiles[n]);
  const half = Math.hypot(HALF_JUMP_DOF, HALF_JUMP_SHARE * quantile(trust, SMOOTHER));
  for (let n = 0; n < trust.length; n++) trust[n] = 1 / (1 + (trust[n] / half) ** 4);
  return trust;
}

/** Twice what the next neighbours on both sides differ by less what those after them do, DOF: nothing on a slope, the whole height in the middle of a step. The most of four directions. */
function jumpAt(depth: Float64Array, rows: number, columns: number, at: number): number {
  const row = Math.floor(at / columns), column = at - row * columns, down = row > 1 && row < rows - 2, across = column > 1 && column < columns - 2;
  let most = 0;
  if (across) most = larger(most, jumpAlong(depth, at, 1));
  if (down) most = larger(most, jumpAlong(depth, at, columns));
  if (down && across) most = larger(larger(most, jumpAlong(depth, at, columns + 1)), jumpAlong(depth, at, columns - 1));
  return most;
}

function jumpAlong(depth: Float64Array, at: number, step: number): number {
  return 2 * Math.abs(depth[at + step] - depth[at - step]) - Math.abs(depth[at + 2 * step] - depth[at - 2 * step]);
}

/** The first where the second is not known. */
function larger(a: number, b: number): number { return b > a ? b : a; }
