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
  if (!clear.includes(0)) return tiles;
  let near: Uint8Array = new Uint8Array(clear.length), away = tiles;
  for (let at = clear.indexOf(0); at >= 0; at = clear.indexOf(0, at + 1)) near[at] = 1;
  for (let ring = 0; ring < MOST_RINGS; ring++) {
    near = grownMask(near, gridRows, gridColumns);
    const left = unmarked(away, near);
    if (left.length < LEAST_LEFT) break;
    away = left;
  }
  return away;
}

function unmarked(tiles: Int32Array, mask: Uint8Array): Int32Array {
  const out = new Int32Array(tiles.length);
  let n = 0;
  for (let i = 0; i < tiles.length; i++) if (mask[tiles[i]] === 0) out[n++] = tiles[i];
  return out.slice(0, n);
}
