import { requirePositive } from './require-positive.js';

/** Assumed where nobody measured it: a symmetrical lens. Always said as an assumption. */
export const DEFAULT_PUPIL_RATIO = 1;
/** The range macro set-ups span; an unknown pupil ratio is shown with what these two ends would mean. */
export const PUPIL_RATIO_RANGE: readonly [number, number] = [0.5, 2];

/**
 * Pupil ratio measured with a ruler: look into the lens from behind and from the front at arm's length and measure the bright disc.
 *
 * @param exitDiameterMm disc seen from the camera's side, above 0
 * @param entranceDiameterMm disc seen from the subject's side, above 0
 * @throws RangeError for values that are not positive
 */
export function pupilRatioFromRuler(exitDiameterMm: number, entranceDiameterMm: number): number {
  requirePositive('exit pupil diameter', exitDiameterMm);
  requirePositive('entrance pupil diameter', entranceDiameterMm);
  return exitDiameterMm / entranceDiameterMm;
}

/**
 * Pupil ratio from two stacks shot with one lens at one marked aperture and the same rail step, at two magnifications.
 * A step in DOF units grows with NA², and NA = m / (2 N (1 + m/P)); the step itself and the f-number cancel.
 *
 * @param first magnification and median step in DOF of one stack
 * @param second the other; the magnifications must differ by a tenth at least
 * @returns the pupil ratio, or null where the steps leave none that a lens could have (0.1 … 10)
 * @throws RangeError for values that are not positive, or magnifications too close to tell
 */
export function pupilRatioFromTwoStacks(
  first: { magnification: number; stepDof: number },
  second: { magnification: number; stepDof: number },
): number | null {
  for (const stack of [first, second]) {
    requirePositive('magnification', stack.magnification);
    requirePositive('step', stack.stepDof);
  }
  const m1 = first.magnification;
  const m2 = second.magnification;
  if (Math.abs(m1 / m2 - 1) < 0.1) throw new RangeError('the two magnifications must differ by a tenth at least');
  const apertureRatio = Math.sqrt(first.stepDof / second.stepDof);
  const ratio = (m1 * m2 * (1 - apertureRatio)) / (apertureRatio * m2 - m1);
  return ratio >= 0.1 && ratio <= 10 ? ratio : null;
}
