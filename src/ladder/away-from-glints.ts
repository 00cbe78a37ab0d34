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
    near = grown(near, gridRows, gridColumns);
    const left = tiles.filter((tile) => near[tile] === 0);
    if (left.length < LEAST_LEFT) break;
    away = left;
  }
  return away;
}

/** A mask with the tiles around its own, corners included. */
function grown(mask: Uint8Array, rows: number, columns: number): Uint8Array {
  const out = new Uint8Array(mask.length);
  for (let r = 0, i = 0; r < rows; r++) for (let c = 0; c < columns; c++, i++) {
    if (!mask[i]) continue;
    for (let y = Math.max(0, r - 1); y <= Math.min(rows - 1, r + 1); y++) for (let x = Math.max(0, c - 1); x <= Math.min(columns - 1, c + 1); x++) out[y * columns + x] = 1;
  }
  return out;
}
