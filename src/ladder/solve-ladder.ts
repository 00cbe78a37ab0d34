import { chooseTiles } from './choose-tiles.js';
import { frameDistance } from './frame-distance.js';
import { framePath } from './frame-path.js';
import { focusCurve, type FocusCurve } from './focus-curve.js';
import { grownMask } from './grown-mask.js';
import { orderAlong } from './order-along.js';
import type { MeasurePlan } from '../sharpness/measure-plan.js';
import { FIRST_SLOPE, refineLadder, type EarlierFit, type RefinedLadder } from './refine.js';
import { settleBlankFrames } from './settle-blank-frames.js';
import { selectTiles, type SolveTiles } from './solve-tiles.js';
import { bestStart, evenSteps, startFrom, type Start } from './start-positions.js';
import type { TileStack } from './tile-stack.js';
import type { UsableTiles } from './usable-tiles.js';

/** Tiles for finding the start, and for the joint solve: more change no step by as much as its uncertainty. */
const START_TILES = 400;
/** Those for the start are drawn from so many at least, where there are as many. */
const START_FROM_TILES = 4000;
const MOST_TILES = 2500;
/** Tiles that the first round of the solve is done with. */
const FEW_TILES = 600;
/** Rounds by few tiles before another fit; by all after it, where its curves are those of the right lens already and where it was one of several tried; and in all by so few that none come before. */
const ROUGH_ROUNDS = 1, LAST_ROUNDS = 1, ROUNDS_AFTER_TRIALS = 2, ROUNDS_ALONE = 3;

export interface SolvedLadder extends RefinedLadder { tiles: SolveTiles; usable: UsableTiles }

/** Positions to start from, before registration or after it. */
export function findStart(stack: TileStack, usable: UsableTiles, extra: readonly Float64Array[] = []): Start {
  const { curves, sample } = startSample(stack, usable);
  const capture = Array.from({ length: stack.frames }, (_, k) => k);
  const distance = frameDistance(stack), path = framePath(distance, stack.frames);
  if (path.indexOf(0) > path.indexOf(stack.frames - 1)) path.reverse();
  const even = evenSteps(curves, sample, capture), starts = [startFrom(curves, sample, stack, capture, even, 0)];
  // Where what the frames show follows the files' order, other starts lead to the same place: of 160 looked at by no more than 0.2 DOF before the solve, and to the same verdicts.
  if (path.some((k, i) => k !== i)) {
    starts.unshift(startFrom(curves, sample, stack, capture, even, 4));
    starts.push(startFrom(curves, sample, stack, path, evenSteps(curves, sample, path), 4));
  }
  for (const z of extra) starts.push(startFrom(curves, sample, stack, null, z, 0));
  const best = bestStart(starts);
  settleBlankFrames(best.z, distance);
  return best;
}

/** The given positions, fitted freely from where they are. */
export function startAt(stack: TileStack, usable: UsableTiles, z: Float64Array): Start {
  const { curves, sample } = startSample(stack, usable);
  return startFrom(curves, sample, stack, null, z, 0);
}

/** Of the plan they were made for last: starts are looked for several times under one plan. */
let first: { plan: MeasurePlan; curves: FocusCurve[] } | null = null;

/** Curves of the slope a solve starts from. */
export function firstCurves(plan: MeasurePlan): FocusCurve[] {
  if (first?.plan !== plan) first = { plan, curves: plan.bands.map((_, b) => focusCurve(plan, b, FIRST_SLOPE)) };
  return first.curves;
}

function startSample(stack: TileStack, usable: UsableTiles): { curves: FocusCurve[]; sample: SolveTiles } {
  return {
    curves: firstCurves(stack.plan),
    sample: selectTiles(stack, chooseTiles(stack, everyNth(usable.steady, START_FROM_TILES), START_TILES, 1)),
  };
}

/** Every n-th, so that `least` are left. */
function everyNth(tiles: Int32Array, least: number): Int32Array {
  const stride = Math.floor(tiles.length / least);
  return stride > 1 ? tiles.filter((_, i) => i % stride === 0) : tiles;
}

/**
 * The joint solve on up to 2500 usable, steady tiles: by few of them first, which brings it most of the way for a quarter of the cost.
 *
 * @param start positions, or what an earlier fit of the same frames found, by other tiles or for another lens
 */
export function solveLadder(stack: TileStack, usable: UsableTiles, start: Float64Array | RefinedLadder): SolvedLadder {
  const chosen = chosenTiles(stack, usable);
  if (!(start instanceof Float64Array)) return refineBy(stack, usable, chosen, start, ROUNDS_AFTER_TRIALS);
  if (chosen.length < 2 * FEW_TILES) return refineBy(stack, usable, chosen, start, ROUNDS_ALONE);
  return refineBy(stack, usable, chosen, roughLadder(stack, usable, chosen, start), LAST_ROUNDS);
}

/** The first rounds of the solve, by few of its tiles; another fit is to go on from it. @param chosen tiles of the solve */
export function roughLadder(stack: TileStack, usable: UsableTiles, chosen: Int32Array, z: Float64Array): SolvedLadder {
  return refineBy(stack, usable, fewOf(stack, chosen), z, ROUGH_ROUNDS, false);
}

/** The whole solve by few tiles: for a look at a stack that is still growing. */
export function quickLadder(stack: TileStack, usable: UsableTiles, z: Float64Array): SolvedLadder {
  return refineBy(stack, usable, fewOf(stack, chosenTiles(stack, usable)), z, ROUNDS_ALONE);
}

/** Those of some patches of 4 × 4, since much of what is learned of a tile shows by its neighbours. */
function fewOf(stack: TileStack, chosen: Int32Array): Int32Array {
  const stride = Math.max(1, Math.floor(chosen.length / FEW_TILES));
  const patch = (tile: number): number => ((tile % stack.gridColumns) >> 2) + 2 * (Math.floor(tile / stack.gridColumns) >> 2);
  return chosen.filter((tile) => patch(tile) % stride === 0);
}

/** The tiles a solve works on. */
export function chosenTiles(stack: TileStack, usable: UsableTiles): Int32Array { return chooseTiles(stack, usable.steady, MOST_TILES, 2); }

/** Some rounds of the joint solve by the given tiles; the last is settled for good unless another fit goes on from it. */
export function refineBy(stack: TileStack, usable: UsableTiles, tile: Int32Array, start: Float64Array | RefinedLadder, rounds: number, settles = true): SolvedLadder {
  const tiles = selectTiles(stack, tile), from = start instanceof Float64Array ? firstFit(stack.plan, start) : laterFit(stack.plan, start);
  return { ...refineLadder(stack, tiles, from, orderAlong(from.z), tilesAround(stack, tile, usable.usable), rounds, settles), tiles, usable };
}

function firstFit(plan: MeasurePlan, z: Float64Array): EarlierFit {
  return { z, plan, curves: firstCurves(plan), slopes: plan.bands.map(() => FIRST_SLOPE), fitted: null };
}

function laterFit(plan: MeasurePlan, fitted: RefinedLadder): EarlierFit {
  const curves = fitted.plan === plan ? fitted.curves : fitted.slopes.map((slope, b) => focusCurve(plan, b, slope));
  return { z: fitted.state.z, plan, curves, slopes: fitted.slopes, fitted };
}

/** Usable tiles that touch the chosen ones and were not chosen; null: none. */
function tilesAround(stack: TileStack, chosen: Int32Array, usable: Int32Array): Int32Array | null {
  const { gridRows, gridColumns } = stack, own = new Uint8Array(gridRows * gridColumns);
  for (let i = 0; i < chosen.length; i++) own[chosen[i]] = 1;
  const near = grownMask(own, gridRows, gridColumns), some = new Int32Array(usable.length);
  let n = 0;
  for (let i = 0; i < usable.length; i++) { const tile = usable[i]; if (near[tile] && !own[tile]) some[n++] = tile; }
  return n ? some.slice(0, n) : null;
}
