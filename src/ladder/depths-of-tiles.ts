import { depthGrid, exhaustiveDepth } from './exhaustive-depth.js';
import { fastDepthsOfTiles } from './fast-exhaustive.js';
import type { FocusCurve } from './focus-curve.js';
import { selectTiles } from './solve-tiles.js';
import type { TileStack } from './tile-stack.js';

/** Tiles copied out of the stack at a time: all at once would take as much memory as the stack again. */
const AT_ONCE = 4000;
/** Energies of a band that they lie among in the stack, at most. */
const MOST_VALUES = 4e6;

/**
 * Exhaustive depths of any number of tiles, none with a depth spread.
 *
 * @param tiles their places in the stack's tile grid, ascending
 * @param z frame positions, ladder units
 */
export function depthsOfTiles(stack: TileStack, curves: readonly FocusCurve[], tiles: Int32Array, z: ArrayLike<number>): Float64Array {
  const depth = new Float64Array(tiles.length), grid = depthGrid(curves, z);
  for (let from = 0, end = 0; from < tiles.length; from = end) {
    for (end = from + 1; end < tiles.length && end - from < AT_ONCE && (tiles[end] - tiles[from]) * stack.frames < MOST_VALUES; end++);
    const some = tiles.subarray(from, end);
    depth.set(fastDepthsOfTiles(stack, curves, some, grid) ?? exhaustiveDepth(curves, selectTiles(stack, some), z, null).depth, from);
  }
  return depth;
}
