import { bundle, type PairFit } from './bundle.js';
import { coarseShift, pictureSpectrum } from './coarse-shift.js';
import { pictureGrowth, type Growth } from './growth.js';
import type { RegistrationFrame } from './register-pair.js';
import { registerPair } from './register-pair.js';
import { IDENTITY, type Similarity } from './similarity.js';

export interface RegistrationPicture { rows: number; columns: number; pixels: Float32Array }

export interface StackRegistration {
  /** From the reference frame to each frame, registration pixels. */
  transforms: Similarity[];
  pairs: PairFit[];
  growth: Growth;
  /** The growth is far enough above its own uncertainty to give the direction and to be followed. */
  growthKnown: boolean;
}

/** Pairs of which a smaller weight share agrees are dropped. */
const LEAST_INLIERS = 0.25;
/** Growth counts from this many sigmas. */
const GROWTH_SIGMAS = 5;
/** A start besides zero is worth its time from this shift, registration pixels. */
const WORTH_A_START_PX = 1.5;

/** Whole-picture shifts of all frames against a reference, registration pixels. */
export function coarseShifts(pictures: readonly RegistrationPicture[], reference: number): Similarity[] {
  const spectra = pictures.map((p) => pictureSpectrum(p.pixels, p.rows, p.columns));
  return spectra.map((spectrum, k) => (k === reference ? IDENTITY : { ...IDENTITY, ...coarseShift(spectra[reference], spectrum) }));
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
      const starts = [IDENTITY], shift = { ...IDENTITY, row: coarse[to].row - coarse[from].row, column: coarse[to].column - coarse[from].column };
      if (Math.hypot(shift.row, shift.column) > WORTH_A_START_PX) starts.push(shift);
      const fit = registerPair(frames[from], frames[to], starts);
      if (fit && fit.inlierShare > LEAST_INLIERS) pairs.push({ from, to, fit });
    }
    // Only the next two frames need this one's spectra: what lies behind is let go.
    if (i >= 2) frames[order[i - 2]].spectra.clear();
  });
  const growth = pictureGrowth(pairs, z), growthKnown = Math.abs(growth.perDof) > GROWTH_SIGMAS * growth.sigma;
  const transforms = bundle(pictures.length, pairs, reference).map((p, k) => ({ ...p, lnScale: growthKnown ? growth.perDof * (z[k] - z[reference]) : 0 }));
  return { transforms, pairs, growth, growthKnown };
}
