import { CancelledError, UserError } from '../contract/errors.js';
import type { FrameFlag } from '../contract/report.js';
import { choleskyInverse } from '../image/cholesky.js';
import { cutoffBySpectrum } from '../ladder/cutoff-by-spectrum.js';
import { focusSpectrum, type FocusSpectrum } from '../ladder/focus-spectrum.js';
import { findCutoff, type FoundCutoff } from '../ladder/find-cutoff.js';
import type { RefinedLadder } from '../ladder/refine.js';
import { buildTileStack, type TileStack } from '../ladder/tile-stack.js';
import { leanOnUsualStep } from '../ladder/lean-on-usual-step.js';
import { moveLadder } from '../ladder/move-ladder.js';
import { quickLadder, solveLadder, type SolvedLadder } from '../ladder/solve-ladder.js';
import { sharedErrors } from '../ladder/shared-errors.js';
import { ladderUncertainty, type LadderUncertainty } from '../ladder/uncertainty.js';
import type { ReadTiles } from '../ladder/tile-reader.js';
import { usableTiles } from '../ladder/usable-tiles.js';
import type { PairFit } from '../registration/bundle.js';
import { pictureGrowth } from '../registration/growth.js';
import { IDENTITY, type Similarity } from '../registration/similarity.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';
import { planMeasurement } from '../sharpness/plan-measurement.js';
import type { AnalyseRequest } from './analyse-request.js';
import type { FrameFacts, FrameSource } from './frame-source.js';
import type { FolderFacts } from './look-at-folder.js';
import { MeanwhileWork } from './meanwhile-work.js';
import { partialReport } from './partial-report.js';
import { placeFrames, type PlacedFrames } from './place-frames.js';
import { resolveOptics } from './resolve-optics.js';

/** Everything measured, kept so that other optics or overlaps can be judged without reading a frame again. */
export interface SolvedStack {
  source: FrameSource;
  facts: FrameFacts | null;
  rows: number;
  columns: number;
  /** Frames measured: their numbers in `source.frames`, in file order. */
  measured: number[];
  /** What is read of the measures after the frames are placed. */
  measures: Pick<FrameMeasure, 'meanRoot'>[];
  /** The measures themselves; null once the frames are placed and the tiles read from them, since they fill most of the memory. */
  whole: FrameMeasure[] | null;
  /** Frames left out, with the reason. */
  leftOut: { index: number; flag: FrameFlag; reason: string }[];
  plan: MeasurePlan;
  /** Cutoff used, cycles per source pixel. */
  cutoff: number;
  /** What the frames themselves say where the optics are unknown. */
  cutoffFound: FoundCutoff | null;
  stack: TileStack;
  transforms: Similarity[];
  /** What the pictures' light says of the folder. */
  folder: FolderFacts;
  /** How frames moved against their neighbours along the first order found, registration pixels; empty where nothing could be registered. */
  pairs: PairFit[];
  /** null: too little detail or too few frames to tell. */
  ladder: SolvedLadder | null;
  uncertainty: LadderUncertainty | null;
  /** +1 or −1: how the solve's axis runs to get near to far (or, where the direction is unknown, to follow capture order). */
  axisSign: 1 | -1;
  directionKnown: boolean;
  timing: { totalMs: number; decodeMs: number; cachedFrames: number; registerMs: number; solveMs: number };
}

/** Cutoff assumed where neither the optics are known nor the frames say: that of f/2.8 at 5× on 3.9-µm pixels. */
export const ASSUMED_CUTOFF = 0.42;
/** From fewer frames nothing can be told of steps. */
export const FEWEST_FRAMES = 2;
/** The first provisional report comes no sooner than this, and none when less than this is left. */
const PARTIAL_FROM_MS = 1500;
const PARTIAL_GROWTH = 1.6;
/** From so many frames on, their pace tells how long the rest takes. */
const RATE_FRAMES = 5;
/** The direction is stated from this many sigmas of the picture's growth. */
const DIRECTION_SIGMAS = 5;

/** Reads, measures and solves a stack. */
export async function solveStack(source: FrameSource, request: AnalyseRequest): Promise<SolvedStack> {
  const began = performance.now();
  const { leftOut, wanted, rows, columns } = sortOut(source);
  const facts = wanted.length ? source.frames[wanted[0]].facts : null;
  if (wanted.length === 0) throw noneUsable(source, leftOut);
  const optics = resolveOptics(request.rig, facts);
  const files = source.frames.map((frame) => frame.file), readBegan = performance.now();
  let decodeMs = 0, cachedFrames = 0, meanwhile: MeanwhileWork;
  /** Reads and measures the named frames; those that fail then are left out. */
  const read = async (plan: MeasurePlan, indices: readonly number[]): Promise<FrameMeasure[]> => {
    const found = new Map<number, FrameMeasure>(), work = meanwhile = new MeanwhileWork(plan, indices.length), places = new Map(indices.map((index, place) => [index, place])), startedMs = performance.now() - readBegan;
    let done = 0, firstMs = 0, partialAfterMs = PARTIAL_FROM_MS;
    const tick = () => {
      done++;
      const elapsedMs = performance.now() - readBegan;
      if (done === 1) firstMs = elapsedMs;
      // The first frame waits for the threads to start, and those next to it come with it: they tell little of the rest.
      const frameMs = done >= RATE_FRAMES ? (elapsedMs - firstMs) / (done - 1) : elapsedMs - startedMs > PARTIAL_FROM_MS ? (elapsedMs - startedMs) / done : null;
      const leftMs = frameMs === null ? null : frameMs * (indices.length - done);
      request.onProgress?.({ stage: 'reading', done, all: indices.length, elapsedMs, leftMs });
      // Something to look at where one has to wait; where the verdict is near, putting a picture together would only hold it up.
      if (!request.onPartial || found.size === 0 || leftMs === null || leftMs < PARTIAL_FROM_MS || elapsedMs < partialAfterMs) return;
      // Each time a picture is put together from more frames, so each waits longer.
      partialAfterMs = PARTIAL_GROWTH * elapsedMs;
      request.onPartial(partialReport({ folder: source.folder, rows, columns, files, plan, measures: found, leftOut, optics: optics.report, elapsedMs }));
    };
    const took = await source.measure(indices, plan,
      (index, measure) => {
        found.set(index, work.add(places.get(index)!, measure));
        tick();
      },
      (index, reason) => { leftOut.push({ index, flag: 'unreadable', reason }); tick(); }, request.signal);
    if (request.signal?.aborted) throw new CancelledError();
    decodeMs += took.decodeMs;
    cachedFrames = took.cachedFrames ?? 0;
    measured = indices.filter((index) => found.has(index));
    if (measured.length === 0) throw noneUsable(source, leftOut);
    return measured.map((index) => found.get(index)!);
  };
  const before = optics.cutoff === null ? request.quick?.cutoffFound ?? null : null, known = optics.cutoff ?? before?.cutoff ?? null;
  let measured: number[] = [], cutoff = known ?? ASSUMED_CUTOFF, plan = planMeasurement(rows, columns, cutoff), whole = await read(plan, wanted);
  const spectrum = known === null ? focusSpectrum(plan, whole.map((measure) => measure.spectra)) : null, other = spectrum && cutoffBySpectrum(spectrum, cutoff);
  if (other !== null) {
    cutoff = other;
    plan = planMeasurement(rows, columns, cutoff);
    whole = [];
    whole = await read(plan, measured);
  }
  request.onProgress?.({ stage: 'solving', done: measured.length, all: wanted.length, elapsedMs: performance.now() - readBegan, leftMs: null });
  const solved: SolvedStack = {
    source, facts, rows, columns, measured, measures: whole.map(({ meanRoot }) => ({ meanRoot })), whole, leftOut, plan, cutoff, cutoffFound: before,
    stack: null as never, transforms: [], pairs: [], folder: meanwhile!.folder(), ladder: null, uncertainty: null, axisSign: 1, directionKnown: false, timing: { totalMs: 0, decodeMs, cachedFrames, registerMs: 0, solveMs: 0 },
  };
  // From here on only `solved` holds them, no name of this function's: they are let go once the frames are placed.
  whole = [];
  solveMeasures(solved, null, { unknownLens: known === null ? { spectrum } : null, quick: request.quick !== undefined, inPlace: meanwhile!.tiles() });
  solved.timing.totalMs = performance.now() - began;
  return solved;
}

interface HowToSolve { unknownLens?: { spectrum: FocusSpectrum | null } | null; quick?: boolean; inPlace?: ReadTiles | null }

/**
 * Solves (again) from the measures that are kept.
 *
 * @param startZ positions to start from, ladder units; the registration is kept then
 * @param how unknownLens: the frames themselves are to tell the cutoff, with the spectrum of what is in focus; quick: by few tiles only; inPlace: the tiles
 *   read where they stand, if they were already; taken over
 */
export function solveMeasures(solved: SolvedStack, startZ: Float64Array | null, { unknownLens, quick, inPlace }: HowToSolve = {}): void {
  const began = performance.now();
  solved.ladder = null;
  solved.uncertainty = null;
  const placed = place(solved, startZ, inPlace ?? null);
  Object.assign(solved, { stack: placed.stack, transforms: placed.transforms, whole: placed.z ? null : solved.whole });
  const registered = performance.now();
  solved.timing.registerMs = registered - began;
  if (!placed.z || !placed.usable) return;
  let start: Float64Array | RefinedLadder = placed.z;
  if (unknownLens) {
    const { nearest, ...found } = findCutoff(placed.stack, placed.usable, placed.z, unknownLens.spectrum);
    solved.cutoffFound = found;
    changeCutoff(solved, found.cutoff);
    start = nearest;
  }
  solved.ladder = quick && start instanceof Float64Array ? quickLadder(solved.stack, placed.usable, start) : solveLadder(solved.stack, placed.usable, start);
  solved.uncertainty = settleShared(solved.stack, solved.ladder);
  if (placed.registration) {
    solved.pairs = placed.registration.pairs;
    // The solved positions are better than those the registration knew.
    const growth = pictureGrowth(placed.registration.pairs, solved.ladder.state.z);
    solved.directionKnown = Math.abs(growth.perDof) > DIRECTION_SIGMAS * growth.sigma;
    solved.axisSign = solved.directionKnown ? (growth.perDof > 0 ? 1 : -1) : captureSign(solved.ladder.state.z);
  }
  solved.timing.solveMs = performance.now() - registered;
}

/** Takes out of the positions what all tiles are off by together, and lets steps that little is seen of lean on the others. @returns how uncertain the pictures leave them */
function settleShared(stack: TileStack, ladder: SolvedLadder): LadderUncertainty {
  const { trace, tiles } = ladder, inverse = choleskyInverse(trace.reduced, trace.unknowns), { correction, moves } = sharedErrors(stack, tiles, ladder, inverse);
  const uncertainty = ladderUncertainty(stack, tiles, ladder, inverse, moves);
  moveLadder(ladder.state, correction);
  moveLadder(ladder.state, leanOnUsualStep(ladder.state, uncertainty.between));
  return uncertainty;
}

/** Solves again for another lens behind the same measurements. In ladder units positions change little with it. */
export function solveAtCutoff(solved: SolvedStack, cutoff: number): void {
  changeCutoff(solved, cutoff);
  solveMeasures(solved, solved.ladder ? solved.ladder.state.z : null);
}

function changeCutoff(solved: SolvedStack, cutoff: number): void {
  solved.plan = { ...solved.plan, cutoff: cutoff * solved.plan.bin };
  solved.cutoff = cutoff;
  // A copy: the solve settles the noise in place, and an earlier solution must not be worn away by it.
  const { stack } = solved;
  solved.stack = { ...stack, plan: solved.plan, noise: stack.noise.map((n) => n.slice()), noiseFloor: stack.noiseFloor.slice() };
}

function place(solved: SolvedStack, startZ: Float64Array | null, inPlace: ReadTiles | null): PlacedFrames {
  const { plan, whole } = solved;
  if (startZ || !whole) return placeAgain(solved, startZ);
  return whole.length < FEWEST_FRAMES ? unplaced(plan, whole) : placeFrames(plan, whole, inPlace);
}

function unplaced(plan: MeasurePlan, whole: readonly FrameMeasure[]): PlacedFrames {
  const transforms = whole.map(() => IDENTITY);
  return { stack: buildTileStack(plan, whole, transforms), transforms, usable: null, z: null, registration: null };
}

function placeAgain(solved: SolvedStack, z: Float64Array | null): PlacedFrames {
  const usable = usableTiles(solved.stack);
  return { stack: solved.stack, transforms: solved.transforms, usable, z: usable.enough ? z : null, registration: null };
}

/** The axis is taken to run along capture order where the pictures don't say otherwise. */
function captureSign(z: Float64Array): 1 | -1 {
  const middle = (z.length - 1) / 2;
  return z.reduce((sum, v, k) => sum + v * (k - middle), 0) < 0 ? -1 : 1;
}

/** Frames that can be read and have the size most frames have. */
function sortOut(source: FrameSource): { leftOut: SolvedStack['leftOut']; wanted: number[]; rows: number; columns: number } {
  const leftOut: SolvedStack['leftOut'] = [], counts = new Map<string, number>();
  for (const frame of source.frames) if (frame.problem === null) { const size = `${frame.rows}×${frame.columns}`; counts.set(size, (counts.get(size) ?? 0) + 1); }
  const usual = [...counts].sort((a, b) => b[1] - a[1])[0]?.[0];
  const wanted: number[] = [];
  source.frames.forEach((frame, index) => {
    if (frame.problem !== null) leftOut.push({ index, flag: 'unreadable', reason: frame.problem });
    else if (`${frame.rows}×${frame.columns}` !== usual) leftOut.push({ index, flag: 'other-size', reason: `it is ${frame.columns} × ${frame.rows} pixels` });
    else wanted.push(index);
  });
  const first = wanted.length ? source.frames[wanted[0]] : { rows: 0, columns: 0 };
  return { leftOut, wanted, rows: first.rows, columns: first.columns };
}

function noneUsable(source: FrameSource, leftOut: SolvedStack['leftOut']): UserError {
  const why = leftOut.length ? ` (${leftOut.slice(0, 3).map(({ index, reason }) => `${source.frames[index].file}: ${reason}`).join('; ')})` : '';
  return new UserError(`No frame in ${source.folder} can be used${why}.`, 'Choose the folder that holds the whole stack, or copy the frames from the card again.');
}
