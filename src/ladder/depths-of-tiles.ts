import { exhaustiveDepth } from './exhaustive-depth.js';
import type { FocusCurve } from './focus-curve.js';
import { selectTiles } from './solve-tiles.js';
import type { TileStack } from './tile-stack.js';

/** Tiles copied out of the stack at a time: all at once would take as much memory as the stack again. */
const AT_ONCE = 4000;

/**
 * Exhaustive depths of any number of tiles, none with a depth spread.
 *
 * @param tiles their places in the stack's tile grid
 * @param z frame positions, ladder units
 */
export function depthsOfTiles(stack: TileStack, curves: readonly FocusCurve[], tiles: Int32Array, z: ArrayLike<number>): Float64Array {
  const depth = new Float64Array(tiles.length);
  for (let from = 0; from < tiles.length; from += AT_ONCE) depth.set(exhaustiveDepth(curves, selectTiles(stack, tiles.subarray(from, from + AT_ONCE)), z, null).depth, from);
  return depth;
}
