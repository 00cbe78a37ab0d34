import type { MeasurePlan } from '../sharpness/measure-plan.js';

/** Share of the cutoff at which the fine band sits wherever pixels allow it; there the unit is the wave DOF itself. */
const USUAL_SHARE = 0.28;
/** Nearer to the cutoff the curve's width follows other laws; no band that can be used sits there. */
const HIGHEST_SHARE = 0.5;

/**
 * Length the ladder is solved in, as a multiple of λ/NA²: the defocus that dims the fine band as much as one λ/NA² dims a band at 0.28 of the
 * cutoff. Pixels coarse for the lens see only the low end of its frequencies, where defocus acts more slowly: limits stated in this unit
 * mean the same there. Phase of the defocused response near focus: s(1 − s)·δ (Hopkins 1955).
 */
export function ladderUnit(plan: MeasurePlan): number {
  const share = Math.min(plan.bands[0].centre / plan.cutoff, HIGHEST_SHARE);
  return (USUAL_SHARE * (1 - USUAL_SHARE)) / (share * (1 - share));
}
