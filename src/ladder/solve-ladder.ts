import { frameDistance } from './frame-distance.js';
import { framePath } from './frame-path.js';
import { focusCurve } from './focus-curve.js';
import { FIRST_SLOPE, refineLadder, type RefinedLadder } from './refine.js';
import { settleBlankFrames } from './settle-blank-frames.js';
import { selectTiles, type SolveTiles } from './solve-tiles.js';
import { bestStart, startFrom, type Start } from './start-positions.js';
import { shuffled } from './statistics.js';
import type { TileStack } from './tile-stack.js';
import type { UsableTiles } from './usable-tiles.js';

const START_TILES = 700;
const MOST_TILES = 4000;

export interface SolvedLadder extends RefinedLadder { tiles: SolveTiles; usable: UsableTiles }

/** Positions to start from, before registration or after it. */
export function findStart(stack: TileStack, usable: UsableTiles, extra: readonly Float64Array[] = []): Start {
  const curves = stack.plan.bands.map((_, b) => focusCurve(stack.plan, b, FIRST_SLOPE));
  const sample = selectTiles(stack, Int32Array.from(shuffled(usable.usable, 1).slice(0, START_TILES).sort((a, b) => a - b)));
  const capture = Array.from({ length: stack.frames }, (_, k) => k);
  const distance = frameDistance(stack), path = framePath(distance, stack.frames);
  if (path.indexOf(0) > path.indexOf(stack.frames - 1)) path.reverse();
  const starts = [startFrom(curves, sample, stack, capture, null, 4), startFrom(curves, sample, stack, capture, null, 0)];
  if (path.some((k, i) => k !== i)) starts.push(startFrom(curves, sample, stack, path, null, 4));
  for (const z of extra) starts.push(startFrom(curves, sample, stack, null, z, 0));
  const best = bestStart(starts);
  settleBlankFrames(best.z, distance);
  return best;
}

/** The joint solve on up to 4000 usable tiles from the given positions. */
export function solveLadder(stack: TileStack, usable: UsableTiles, startZ: Float64Array): SolvedLadder {
  const chosen = usable.usable.length > MOST_TILES ? shuffled(usable.usable, 2).slice(0, MOST_TILES).sort((a, b) => a - b) : Array.from(usable.usable);
  const tiles = selectTiles(stack, Int32Array.from(chosen));
  const order = Array.from({ length: stack.frames }, (_, k) => k).sort((a, b) => startZ[a] - startZ[b]);
  return { ...refineLadder(stack, tiles, startZ, order), tiles, usable };
}
