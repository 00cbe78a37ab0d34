import type { MeasurePlan } from '../sharpness/measure-plan.js';
import { fastSeenDepths } from './fast-look-around.js';
import { plainSeenDepths } from './plain-seen-depths.js';

/** Depths that a band sees at a tile, against the tile's own depth; per band, in the order of the tiles asked about. */
export interface SeenDepths {
  /** Standard deviation, in the unit of the depths; 0 where no neighbour is known. */
  spread: Float64Array[];
  /** How much deeper the mean lies than that of the fine band: on bent ground the coarser bands' wider windows reach further up or down. */
  bend: Float64Array[];
  /** How sharply the ground bends at a tile, jumps and all: half a jump beside one. */
  fold: Float64Array;
}

/**
 * Which depths each band sees at every tile, from the 3 × 3 tiles around it: slope and bend of the surface over the band's window, and the roughness about that surface.
 * The slope is taken from the steps between neighbours, squared: next to a fold it is as steep as anywhere. What the depths' own scatter pretends of each is taken off.
 *
 * @param depth rows × columns; NaN where unknown
 * @param variance of a known depth, as the solve states it
 * @param asked tiles to be told about; null: all, row by row
 */
export function seenDepths(depth: Float64Array, rows: number, columns: number, plan: MeasurePlan, variance = 0, asked: Int32Array | null = null): SeenDepths {
  const tiles = asked ?? new Int32Array(depth.length).map((_, i) => i);
  return fastSeenDepths(depth, rows, columns, plan, variance, tiles) ?? plainSeenDepths(depth, rows, columns, plan, variance, tiles);
}

/** Spread of the fine band with what folds and jumps to other surfaces add to it, counted by a share: such tiles show two depths, and no curve holds for them. */
export function unevenSpread({ spread, fold }: SeenDepths, at: number, share: number): number { return Math.hypot(spread[0][at], share * fold[at]); }
