import { UserError } from '../contract/errors.js';
import type { PlanRequest } from '../contract/plan.js';
import { effectiveFNumber } from './effective-f-number.js';
import { numericalAperture } from './numerical-aperture.js';
import { DEFAULT_PUPIL_RATIO } from './pupil-ratio.js';

/** Beyond this a picture holds next to no detail. */
export const LARGEST_EFFECTIVE_F_NUMBER = 100;
/** Largest aperture a lens in air reaches. */
const LARGEST_NUMERICAL_APERTURE = 0.95;
/** Deeper than any macro stack, and far below what would make a table of frames useless. */
const DEEPEST_UM = 1_000_000;

/**
 * Refuses what no lens or bench can do.
 *
 * @throws UserError naming the option, what came and what to do
 */
export function checkPlanRequest(request: PlanRequest): void {
  checkPositive(request);
  if (!(request.overlap >= 0 && request.overlap <= 0.9)) throw new UserError(`--overlap got ${request.overlap}.`, 'Give a share from 0 to 0.9, such as --overlap 0.3.');
  if (!(request.depthUm >= 0 && request.depthUm <= DEEPEST_UM)) {
    throw new UserError(`--depth-um got ${request.depthUm}.`, `Give the depth to cover in µm, from 0 to ${DEEPEST_UM}, such as --depth-um 900.`);
  }
  if (request.outputWidthPx !== null && request.frameWidthPx === null) {
    throw new UserError('--output-width needs to know how wide a frame is.', 'Add --frame-width with the width of your pictures in pixels, such as --frame-width 6000.');
  }
  const effective = effectiveFNumber(request.fNumber, request.magnification, request.pupilRatio ?? DEFAULT_PUPIL_RATIO);
  if (effective > LARGEST_EFFECTIVE_F_NUMBER) {
    throw new UserError(
      `At ${request.magnification}× f/${request.fNumber} works as f/${effective.toFixed(0)}, beyond f/${LARGEST_EFFECTIVE_F_NUMBER}: diffraction would leave hardly any detail.`,
      'Open the aperture or lower the magnification.');
  }
  const aperture = numericalAperture(request.magnification, effective);
  if (aperture > LARGEST_NUMERICAL_APERTURE) {
    throw new UserError(`At ${request.magnification}× f/${request.fNumber} would be a numerical aperture of ${aperture.toFixed(2)}, more than a lens in air can have.`,
      'Check --aperture, --magnification and --pupil-ratio.');
  }
}

function checkPositive(request: PlanRequest): void {
  const values: [string, number | null][] = [
    ['--magnification', request.magnification], ['--aperture', request.fNumber], ['--pupil-ratio', request.pupilRatio],
    ['--pixel-pitch', request.pixelPitchUm], ['--wavelength', request.wavelengthNm], ['--frame-width', request.frameWidthPx],
    ['--output-width', request.outputWidthPx], ['--rail-unit', request.railUnitUm], ['--working-distance', request.workingDistanceMm],
  ];
  for (const [flag, value] of values) {
    if (value !== null && !(value > 0 && Number.isFinite(value))) throw new UserError(`${flag} got ${value}.`, 'Give a number above 0.');
  }
}
