import { grownMask } from './grown-mask.js';
import type { TileStack } from './tile-stack.js';

/** Rings of tiles around clipped ones that are left out, as far as enough tiles are left. */
const MOST_RINGS = 2;
const LEAST_LEFT = 200;

/**
 * Tiles that lie away from clipped pixels. What is clipped is far brighter than it shows: out of focus its light becomes a disc with an edge that reaches tiles well
 * beyond the ones it clips, and their detail seems to last longer than any focus curve. They can still be placed in depth, but are not to tell how far frames stand apart.
 *
 * @param tiles to choose from
 * @returns them without the rings around clipped tiles: two, one, or none where too few would be left
 */
export function awayFromGlints({ clear, gridRows, gridColumns }: Pick<TileStack, 'clear' | 'gridRows' | 'gridColumns'>, tiles: Int32Array): Int32Array {
  if (clear.every((yes) => yes === 1)) return tiles;
  let near: Uint8Array = clear.map((yes) => 1 - yes), away = tiles;
  for (let ring = 0; ring < MOST_RINGS; ring++) {
    near = grownMask(near, gridRows, gridColumns);
    const left = tiles.filter((tile) => near[tile] === 0);
    if (left.length < LEAST_LEFT) break;
    away = left;
  }
  return away;
}
