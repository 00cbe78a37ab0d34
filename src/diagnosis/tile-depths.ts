import { depthsOfTiles } from '../ladder/depths-of-tiles.js';
import { GRID_VARIANCE } from '../ladder/exhaustive-depth.js';
import { seenDepths, unevenSpread } from '../ladder/seen-depths.js';
import type { SolvedLadder } from '../ladder/solve-ladder.js';
import type { TileStack } from '../ladder/tile-stack.js';

/** What a fold adds to a tile's spread: a jump between two surfaces counts as spread over a quarter of it on either side. */
const FOLD_SHARE = 0.55;

/** Depth of every tile of the grid, wave DOF; NaN where there is too little detail. */
export interface TileDepths {
  depth: Float64Array;
  /** Depth spread inside some tiles (fine band), with what jumps to other surfaces add: above 0.7 two depths lie in one. Asked of few, so it is found when asked for. */
  spreadOf(tiles: Int32Array): Float64Array;
  usable: Uint8Array;
}

/** The solve's own depths where a tile took part, the exhaustive ones elsewhere. */
export function tileDepths(stack: TileStack, ladder: SolvedLadder): TileDepths {
  const tiles = stack.inside.length, all = ladder.usable.usable, { tile } = ladder.tiles, own = ladder.state.depth;
  const depth = new Float64Array(tiles).fill(NaN), usable = new Uint8Array(tiles), left = new Int32Array(all.length);
  for (let i = 0; i < tile.length; i++) depth[tile[i]] = own[i];
  let n = 0;
  for (let i = 0; i < all.length; i++) { const t = all[i]; usable[t] = 1; if (Number.isNaN(depth[t])) left[n++] = t; }
  const rest = left.subarray(0, n), found = depthsOfTiles(stack, ladder.curves, rest, ladder.state.z);
  for (let i = 0; i < n; i++) depth[rest[i]] = found[i];
  return {
    depth, usable,
    spreadOf(asked) {
      const seen = seenDepths(depth, stack.gridRows, stack.gridColumns, stack.plan, GRID_VARIANCE, asked);
      return Float64Array.from(asked, (_, i) => unevenSpread(seen, i, FOLD_SHARE));
    },
  };
}
