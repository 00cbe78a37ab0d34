import { requirePositive } from './require-positive.js';

/**
 * Depth of field by the circle of confusion, 2 C N_eff / m², blind to diffraction. Printed macro tables use it; the rest of this program does not.
 *
 * @param circleOfConfusionUm allowed blur diameter on the sensor, above 0
 * @param effectiveFNumber N_eff, above 0
 * @param magnification m, above 0
 * @returns µm on the subject
 * @throws RangeError for values that are not positive
 */
export function geometricDepthOfFieldUm(circleOfConfusionUm: number, effectiveFNumber: number, magnification: number): number {
  requirePositive('circle of confusion', circleOfConfusionUm);
  requirePositive('effective f-number', effectiveFNumber);
  requirePositive('magnification', magnification);
  return (2 * circleOfConfusionUm * effectiveFNumber) / (magnification * magnification);
}
