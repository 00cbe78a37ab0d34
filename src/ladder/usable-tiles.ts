import { awayFromGlints } from './away-from-glints.js';
import { fastReadable } from './fast-usable-tiles.js';
import { plainReadable } from './plain-usable-tiles.js';
import type { TileStack } from './tile-stack.js';

const LEAST_STRONG_TILES = 60, LEAST_STRONG_SHARE = 0.005;

export interface UsableTiles {
  /** Tiles that can be measured. */
  usable: Int32Array;
  /** Of these, tiles fit for the solve. */
  steady: Int32Array;
  /** Of these, tiles strong in the fine band. */
  strong: number;
  /** Tiles inside all frames. */
  inside: number;
  /** False: so little detail that nothing can be told. */
  enough: boolean;
}

export function usableTiles(stack: TileStack): UsableTiles {
  const { usable, steady, strong, inside } = fastReadable(stack) ?? plainReadable(stack);
  return { usable, steady: awayFromGlints(stack, steady), strong, inside, enough: strong >= Math.max(LEAST_STRONG_TILES, LEAST_STRONG_SHARE * inside) };
}
