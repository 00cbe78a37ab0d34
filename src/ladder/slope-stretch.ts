import type { MeasurePlan } from '../sharpness/measure-plan.js';
import { ladderUnit } from './ladder-unit.js';

/** Measured share of the geometric law, on rendered slopes of known depth: diffraction and the windows' own extent leave a little less of it. */
const SHARE_OF_LAW = 0.85;

/**
 * How many times as fast detail on a slope defocuses as detail on flat ground. Where defocus changes along the picture, blur also moves what it blurs: the image of a sinusoid
 * whose contrast changes from place to place is shifted by (∂²H/∂x∂k)/kH, which for the blur disc of geometric optics, radius 2δ/f_c pixels, is 2gδ/f_c² pixels up a slope of g.
 * A place in the picture so sees ground that lies further out of focus by g times that: δ(1 + 2g²/f_c²).
 *
 * @param slopeSquared squared slope, (ladder units per measured pixel)²
 */
export function slopeStretch(plan: MeasurePlan, slopeSquared: number): number {
  return 1 + SHARE_OF_LAW * 2 * slopeSquared * (ladderUnit(plan) / plan.cutoff) ** 2;
}
