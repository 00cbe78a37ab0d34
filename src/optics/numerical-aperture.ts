import { requirePositive } from './require-positive.js';

/**
 * Numerical aperture on the subject's side in air, m / (2 N_eff) (paraxial; the sine condition makes it exact for a corrected lens).
 *
 * @param magnification m, above 0
 * @param effectiveFNumber N_eff, above 0
 * @returns 0 … 1, no unit (values near 1 are beyond any macro lens)
 * @throws RangeError for values that are not positive
 */
export function numericalAperture(magnification: number, effectiveFNumber: number): number {
  requirePositive('magnification', magnification);
  requirePositive('effective f-number', effectiveFNumber);
  return magnification / (2 * effectiveFNumber);
}
