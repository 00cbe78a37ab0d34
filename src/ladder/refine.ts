import { bandResponse } from '../sharpness/band-response.js';
import type { MeasurePlan } from '../sharpness/measure-plan.js';
import { seenDepths, unevenSpread } from './seen-depths.js';
import { findBlurred, lossOfDetail } from './find-blurred.js';
import { stateAt, unfold } from './start-positions.js';
import { farNoise } from './far-noise.js';
import { focusCurve, type FocusCurve } from './focus-curve.js';
import { depthsOfTiles } from './depths-of-tiles.js';
import { GRID_VARIANCE } from './exhaustive-depth.js';
import { mixedTrust } from './mixed-trust.js';
import { jointSolve, type LadderState, type SolveTrace } from './joint-solve.js';
import { refreshAmplitudes, type SolveTiles } from './solve-tiles.js';
import { edgeTrust } from './edge-trust.js';
import { frameTies } from './frame-ties.js';
import { localEnergy, type LocalEnergy } from './local-energy.js';
import { median, robustSpread } from './statistics.js';
import { slopeFromRatio, slopeTable } from './texture-slope.js';
import { textureSpectra } from './texture-spectrum.js';
import type { TileStack } from './tile-stack.js';

/** Steps of a solve at most; and of one that starts near its end and is not the last: what is learned between the rounds moves it more. */
const MOST_STEPS = 10, FEW_STEPS = 4;
/** What a fold counts in how far a tile can be relied on. */
const UNEVEN_SHARE = 1 / 3;
/** Texture slope to start from; measured in every round. */
export const FIRST_SLOPE = 1.3;

export interface RefinedLadder {
  state: LadderState;
  /** It was fitted under. */
  plan: MeasurePlan;
  curves: FocusCurve[];
  slopes: number[];
  trace: SolveTrace;
  /** Frames whose gain was free in the last solve. */
  freeGain: number[];
  /** How far each tile can be relied on, 0…1. */
  tileTrust: Float64Array;
  /** Frames that lost fine detail evenly. */
  blurred: boolean[];
  /** Per frame: ln of fine-band amplitude near focus against what the fit says it should be; NaN where too little was near focus. */
  blurLoss: Float64Array;
  /** Mean and spread of ln a_b − ln a_(b+1) over the tiles that frames stand on both sides of. */
  ratioPrior: { mean: number[]; spread: number[] };
}

/** What a fit starts from: positions alone, or all that an earlier fit of the same frames by fewer tiles or for another lens found. */
export interface EarlierFit { z: Float64Array; plan: MeasurePlan; curves: FocusCurve[]; slopes: number[]; fitted: RefinedLadder | null }

/**
 * The joint solve in rounds: before, between and after them depth spread, edges, texture slope, noise and weights are taken from the fit itself.
 *
 * @param around tiles that take no part but lie around those that do: the depth spread and edges show by them
 * @param rounds joint solves
 * @param settles the last of them is settled for good; false: another fit goes on from this one
 */
export function refineLadder(stack: TileStack, tiles: SolveTiles, from: EarlierFit, order: readonly number[], around: Int32Array | null, rounds: number, settles: boolean): RefinedLadder {
  const { plan, frames, gridRows, gridColumns } = stack, bands = plan.bands.length, { count } = tiles, table = slopeTable(plan), { fitted } = from;
  let { curves, slopes } = from, ratioPrior = fitted?.ratioPrior ?? null;
  const blurred = fitted?.blurred.slice() ?? new Array<boolean>(frames).fill(false), blurLoss = new Float64Array(frames).fill(NaN);
  let tileTrust: Float64Array, edges: Float64Array[], local: LocalEnergy, state: LadderState;
  let textures: (Float64Array | null)[] = curves.map(() => null), aroundDepth: Float64Array | null = null, trace: SolveTrace | null = null, freeGain: number[] = [];

  /** Each tile found anew by trying all depths: a solve only ever moves down the slope that a tile stands on. */
  function findDepths(z: Float64Array): Float64Array {
    const { gain, spread, bend } = state ?? { gain: fitted?.state.gain, spread: null, bend: null }, found = stateAt(curves, tiles, z, spread);
    state = { ...found.state, gain: gain?.slice() ?? found.state.gain, bend: bend ?? found.state.bend };
    return found.cost;
  }

  /** What the map of depths says of each tile. */
  function lookAround(variance: number): Float64Array {
    const map = new Float64Array(gridRows * gridColumns).fill(NaN);
    const [first, last] = range(state.z), hold = (depth: number): number => Math.min(last + 1, Math.max(first - 1, depth));
    if (around && aroundDepth) for (let i = 0; i < around.length; i++) map[around[i]] = hold(aroundDepth[i]);
    tiles.tile.forEach((t, i) => { map[t] = hold(state.depth[i]); });
    const seen = seenDepths(map, gridRows, gridColumns, plan, variance, tiles.tile);
    edges = edgeTrust(map, stack, tiles.tile);
    local = localEnergy(stack, tiles, state);
    state.spread = seen.spread;
    state.bend = seen.bend;
    const single = mixedTrust(map, gridRows, gridColumns, tiles.tile);
    for (let t = 0; t < count; t++) tileTrust[t] *= single[t] / (1 + (unevenSpread(seen, t, UNEVEN_SHARE) / 0.7) ** 4);
    return map;
  }

  /** What all tiles together say of texture and noise. Spectra cost most of it, and a fit that another follows does without. */
  function learn(map: Float64Array): void {
    const [first, last] = range(state.z);
    let bracketed = indices(count, (t) => state.depth[t] > first + 0.3 && state.depth[t] < last - 0.3 && tileTrust[t] > 0.3);
    if (bracketed.length < 20) bracketed = indices(count, (t) => tileTrust[t] > 0.1);
    const ratios = table.map((line, b) => slopeFromRatio(line, blockRatio(stack, tiles, state, bracketed, b)));
    slopes = [ratios[0], ...ratios.slice(1).map((r, i) => (ratios[i] + r) / 2), ratios[ratios.length - 1]];
    if (settles) textures = textureSpectra(stack, map, state.z, slopes);
    curves = slopes.map((slope, b) => focusCurve(plan, b, slope, textures[b]));
    ratioPrior = priorFromTiles(state, bracketed, bands);
    refreshNoise(stack, tiles, state, curves, tileTrust, local);
  }

  const findAround = (z: Float64Array): void => { if (around) aroundDepth = depthsOfTiles(stack, curves, around, z); };

  tileTrust = trustFromMisfit(findDepths(from.z).map((cost) => Math.sqrt(Math.max(0, cost))));
  findAround(from.z);
  learn(lookAround(GRID_VARIANCE));
  findDepths(from.z);
  for (let round = 0; round < rounds; round++) {
    const isLast = settles && round === rounds - 1, pull = pullOf(tileTrust!, state!);
    freeGain = blurred.flatMap((b, k) => (b ? [k] : []));
    trace = jointSolve(curves, tiles, state!, {
      freeGain, weight: solveWeights(curves, tiles, state!, pull, edges!), noise: stack.noise, components: stack.components,
      ratioPrior: ratioPrior && { ...ratioPrior, pull }, local: local!, rounds: isLast || !fitted ? MOST_STEPS : FEW_STEPS, settled: isLast ? 1e-6 : 1e-4, ties: frameTies(state!), entries: isLast,
    });
    tileTrust = trustFromMisfit(trace.misfit);
    const map = lookAround(depthVariance(trace, tileTrust));
    // What follows from a settled fit goes by the curves it was fitted with; a fit that goes on from this one learns by its own tiles.
    if (isLast) refreshNoise(stack, tiles, state!, curves, tileTrust, local!);
    else if (round < rounds - 1) learn(map);
    findBlurred(lossOfDetail(stack, tiles, state!, curves, tileTrust, isLast), state!.z, blurred, blurLoss, isLast);
    if (isLast) continue;
    unfold(curves, { ...tiles, weight: tiles.weight.map((w) => w.map((v, t) => v * tileTrust[t])) }, state!, order);
    // The first positions may have been far off, and the depths with them.
    if (round === 0 && !fitted) { findDepths(state!.z); findAround(state!.z); }
  }
  return { state: state!, plan, curves, slopes, trace: trace!, freeGain, tileTrust: tileTrust!, blurred, blurLoss, ratioPrior: ratioPrior! };
}

/** Median variance of the trusted tiles' depths: neighbouring depths scatter by it on the smoothest surface. */
function depthVariance(trace: SolveTrace, trust: Float64Array): number {
  const known = Array.from(trace.depthVariance).filter((v, t) => trust[t] >= 0.3 && v < Infinity);
  return known.length ? median(known) : 0;
}

function range(z: Float64Array): [number, number] {
  let low = Infinity, high = -Infinity;
  for (const v of z) { low = Math.min(low, v); high = Math.max(high, v); }
  return [low, high];
}
/** How much each tile pulls at the frames: less the farther beyond the ladder it lies. */
function pullOf(trust: Float64Array, { z, depth }: Pick<LadderState, 'z' | 'depth'>): Float64Array {
  const [low, high] = range(z);
  return trust.map((w, t) => w / (1 + (Math.max(0, low - depth[t], depth[t] - high) / 0.5) ** 4));
}
function indices(n: number, keep: (i: number) => boolean): number[] { const out: number[] = []; for (let i = 0; i < n; i++) if (keep(i)) out.push(i); return out; }

/** brightness × tile × edges × reach: thousands of far tiles agree on a small model error in the tails and would outvote the few near ones. */
function solveWeights(curves: readonly FocusCurve[], tiles: SolveTiles, state: LadderState, pull: Float64Array, edges: readonly Float64Array[]): Float32Array[] {
  const { count, frames, trust } = tiles, { z } = state;
  return curves.map((curve, b) => {
    const weight = new Float32Array(count * frames), limit = 0.7 * curve.reach;
    for (let t = 0, i = 0; t < count; t++) {
      const own = pull[t] * edges[b][t], depth = state.depth[t];
      for (let k = 0; k < frames; k++, i++) { const off = (z[k] - depth) / limit, square = off * off; weight[i] = (trust[i] * own) / (1 + square * square * square); }
    }
    return weight;
  });
}

function trustFromMisfit(misfit: Float64Array): Float64Array {
  const middle = median(misfit);
  return misfit.map((v) => 1 / (1 + (v / (2 * middle)) ** 4));
}

/** ln amplitude ratio of bands b and b+1: energies summed over 128-px blocks first, since single tiles' energies are speckled differently in each band. */
function blockRatio(stack: TileStack, tiles: SolveTiles, state: LadderState, some: readonly number[], b: number): number {
  const blocks = new Map<number, { fine: number; coarse: number; n: number }>();
  for (const t of some) {
    const key = blockOf(stack, tiles.tile[t]);
    let block = blocks.get(key);
    if (!block) blocks.set(key, block = { fine: 0, coarse: 0, n: 0 });
    block.fine += Math.exp(2 * state.lnAmplitude[b][t]);
    block.coarse += Math.exp(2 * state.lnAmplitude[b + 1][t]);
    block.n++;
  }
  const list = [...blocks.values()], least = Math.min(8, Math.max(...list.map((v) => v.n)));
  return median(list.filter((v) => v.n >= least).map((v) => 0.5 * Math.log(v.fine / v.coarse)));
}

/** Block of 8 × 8 tiles a tile belongs to. */
export function blockOf(stack: Pick<TileStack, 'gridColumns'>, tile: number): number {
  return (Math.floor(tile / stack.gridColumns) >> 3) * 4096 + ((tile % stack.gridColumns) >> 3);
}

function priorFromTiles(state: LadderState, some: readonly number[], bands: number): { mean: number[]; spread: number[] } {
  const mean: number[] = [], spread: number[] = [];
  for (let b = 0; b < bands - 1; b++) {
    const ratio = some.map((t) => state.lnAmplitude[b][t] - state.lnAmplitude[b + 1][t]);
    mean.push(median(ratio));
    spread.push(Math.max(0.1, robustSpread(ratio)));
  }
  return { mean, spread };
}

/**
 * The noise again, from entries that the model says are out of reach, each band for itself: JPEG, colour-filter interpolation and
 * halved colour planes leave noise that is not white. A band none of whose entries is out of reach keeps the colour of the finer one.
 */
function refreshNoise(stack: TileStack, tiles: SolveTiles, state: LadderState, curves: readonly FocusCurve[], tileTrust: Float64Array, local: LocalEnergy): void {
  let factor = 1;
  curves.forEach((curve, b) => {
    const found = farNoise(stack, tiles, state, curve, b, tileTrust, local);
    if (found !== null) factor = found;
    else if (b > 0) factor = (stack.noiseFloor[b - 1] / stack.noiseFloor[b]) * (bandResponse(stack.plan.bands[b]).noiseGain / bandResponse(stack.plan.bands[b - 1]).noiseGain);
    for (let k = 0; k < tiles.frames; k++) stack.noise[b][k] *= factor;
    stack.noiseFloor[b] *= factor;
  });
  refreshAmplitudes(tiles, stack);
}
