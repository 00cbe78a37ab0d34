import { bundle, type PairFit, type Tie } from './bundle.js';
import { CoarseShift, type RegistrationPicture } from './coarse-shift.js';
import { fastCoarseShift } from './fast-coarse.js';
import { pictureGrowth } from './growth.js';
import { pairInPlace } from './pairs-ahead.js';
import type { RegistrationFrame } from './plain-shifts.js';
import { registerPair } from './register-pair.js';
import { knownShift } from './shifts-ahead.js';
import { IDENTITY, type Similarity } from './similarity.js';

export interface StackRegistration {
  /** From the reference frame to each frame, registration pixels. */
  transforms: Similarity[];
  pairs: PairFit[];
}

/** Pairs of which a smaller weight share agrees are dropped. */
const LEAST_INLIERS = 0.25;
/** Growth is followed from this many sigmas. */
const GROWTH_SIGMAS = 2.5;
/** Relative error of the growth expected between neighbours: their positions are first estimates. */
const GROWTH_TRUST = 0.12;
/** What a frame may move against its neighbour, registration pixels and radians: only to bridge places where no pair could be registered. */
const USUAL_MOVE_PX = 8, USUAL_TURN_RAD = 0.004;
/** Where no growth is seen none is followed. */
const NO_GROWTH_VARIANCE = 1e-12;
/** A start besides zero is worth its time from this shift, registration pixels. */
const WORTH_A_START_PX = 1.5;

/** Whole-picture shifts of all frames against a reference, registration pixels. */
export function coarseShifts(pictures: readonly RegistrationPicture[], reference: number): Similarity[] {
  const ahead = pictures.map((picture) => knownShift(pictures[reference], picture)), shifts = ahead.map((shift): Similarity => ({ ...IDENTITY, ...shift }));
  const others = pictures.map((_, k) => k).filter((k) => k !== reference && !ahead[k]);
  if (others.length === 0) return shifts;
  const correlation = fastCoarseShift(pictures[reference]) ?? new CoarseShift(pictures[reference]);
  for (let i = 0; i < others.length; i += 2) {
    const both = others.slice(i, i + 2), found = correlation.of(pictures[both[0]], both.length > 1 ? pictures[both[1]] : undefined);
    both.forEach((k, n) => { shifts[k] = { ...IDENTITY, ...found[n] }; });
  }
  return shifts;
}

/**
 * Registers a stack along its order: neighbours and next-but-one neighbours, closed over the whole stack.
 *
 * @param order frames along the depth axis
 * @param z their positions, DOF
 * @param coarse from {@link coarseShifts}
 */
export function registerStack(pictures: readonly RegistrationPicture[], order: readonly number[], z: ArrayLike<number>, coarse: readonly Similarity[], reference: number): StackRegistration {
  const frames = pictures.map((p): RegistrationFrame => ({ ...p, spectra: new Map() }));
  const pairs: PairFit[] = [];
  order.forEach((from, i) => {
    for (const to of order.slice(i + 1, i + 3)) {
      const starts: Similarity[] = [], shift = { ...IDENTITY, row: coarse[to].row - coarse[from].row, column: coarse[to].column - coarse[from].column };
      if (Math.hypot(shift.row, shift.column) > WORTH_A_START_PX) starts.push(shift);
      const fit = registerPair(frames[from], frames[to], starts, pairInPlace(frames[from], frames[to]));
      if (fit && fit.inlierShare > LEAST_INLIERS) pairs.push({ from, to, fit });
    }
    // Only the next two frames need this one's spectra: what lies behind is let go.
    if (i >= 2) frames[order[i - 2]].spectra.clear();
  });
  const growth = pictureGrowth(pairs, z), growthKnown = Math.abs(growth.perDof) > GROWTH_SIGMAS * growth.sigma;
  const ties = order.slice(1).map((to, i): Tie => {
    const from = order[i], lnScale = growthKnown ? growth.perDof * (z[to] - z[from]) : 0;
    return { from, to, similarity: { ...IDENTITY, lnScale }, variance: [USUAL_MOVE_PX ** 2, USUAL_MOVE_PX ** 2, USUAL_TURN_RAD ** 2, (GROWTH_TRUST * lnScale) ** 2 + NO_GROWTH_VARIANCE] };
  });
  const transforms = bundle(pictures.length, pairs, ties, reference);
  return { transforms, pairs };
}
