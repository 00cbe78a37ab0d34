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
  const jumps = Float64Array.from(tiles, (at) => jumpAt(depth, rows, columns, at)), half = Math.hypot(HALF_JUMP_DOF, HALF_JUMP_SHARE * quantile(jumps, SMOOTHER));
  return jumps.map((jump) => 1 / (1 + (jump / half) ** 4));
}

/** Twice what the next neighbours on both sides differ by less what those after them do, DOF: nothing on a slope, the whole height in the middle of a step. The most of four directions. */
function jumpAt(depth: Float64Array, rows: number, columns: number, at: number): number {
  const row = Math.floor(at / columns), column = at % columns;
  const inside = { down: row > 1 && row < rows - 2, across: column > 1 && column < columns - 2 };
  let most = 0;
  const along = (step: number, there: boolean): void => {
    if (!there) return;
    const jump = 2 * Math.abs(depth[at + step] - depth[at - step]) - Math.abs(depth[at + 2 * step] - depth[at - 2 * step]);
    // Not true where one is unknown.
    if (jump > most) most = jump;
  };
  along(1, inside.across);
  along(columns, inside.down);
  along(columns + 1, inside.down && inside.across);
  along(columns - 1, inside.down && inside.across);
  return most;
}
