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
  /** Depth spread inside the tile (fine band), with what jumps to other surfaces add: above 0.7 two depths lie in it. */
  spread: Float64Array;
  usable: Uint8Array;
}

/** The solve's own depths where a tile took part, the exhaustive ones elsewhere. */
export function tileDepths(stack: TileStack, ladder: SolvedLadder): TileDepths {
  const tiles = stack.inside.length;
  const depth = new Float64Array(tiles).fill(NaN), usable = new Uint8Array(tiles);
  for (const t of ladder.usable.usable) usable[t] = 1;
  ladder.tiles.tile.forEach((t, i) => { depth[t] = ladder.state.depth[i]; });
  const rest = ladder.usable.usable.filter((t) => Number.isNaN(depth[t]));
  const found = depthsOfTiles(stack, ladder.curves, rest, ladder.state.z);
  rest.forEach((t, i) => { depth[t] = found[i]; });
  const seen = seenDepths(depth, stack.gridRows, stack.gridColumns, stack.plan, GRID_VARIANCE);
  return { depth, spread: seen.spread[0].map((_, t) => unevenSpread(seen, t, FOLD_SHARE)), usable };
}
