import type { PlanAperture, PlanRequest } from '../contract/plan.js';
import { airyRadiusUm } from './airy-radius.js';
import { cutoffCyclesPerPixel } from './cutoff-frequency.js';
import { effectiveFNumber } from './effective-f-number.js';
import { framesForDepth } from './frames-for-depth.js';
import { numericalAperture } from './numerical-aperture.js';
import { outputPixelPitchUm } from './output-pixel-pitch.js';
import { DEFAULT_PUPIL_RATIO } from './pupil-ratio.js';
import { standardDepthOfFieldUm } from './standard-depth-of-field.js';
import { DEFAULT_WAVELENGTH_NM, waveDepthOfFieldUm } from './wave-depth-of-field.js';

/**
 * What one aperture would mean for a plan: a row of its table, or a point of a curve over apertures.
 *
 * @param request the plan's request; its own f-number is not used
 * @param fNumber marked f-number, above 0
 * @returns detail resolved is Rayleigh's distance or two pixels of the picture that is judged, whichever is coarser, on the subject
 * @throws RangeError for values that are not positive
 */
export function planAperture(request: PlanRequest, fNumber: number): PlanAperture {
  const wavelengthNm = request.wavelengthNm ?? DEFAULT_WAVELENGTH_NM;
  const effective = effectiveFNumber(fNumber, request.magnification, request.pupilRatio ?? DEFAULT_PUPIL_RATIO);
  const pitchUm = judgedPitchUm(request);
  const waveDofUm = waveDepthOfFieldUm(wavelengthNm, numericalAperture(request.magnification, effective));
  const dofUm = standardDepthOfFieldUm(waveDofUm, cutoffCyclesPerPixel(wavelengthNm, effective, pitchUm));
  const stepUm = dofUm * (1 - request.overlap);
  const airyUm = airyRadiusUm(wavelengthNm, effective);
  return {
    fNumber,
    effectiveFNumber: effective,
    dofUm,
    stepUm,
    frames: framesForDepth(request.depthUm, stepUm),
    airyDiameterPx: (2 * airyUm) / pitchUm,
    resolvedUm: Math.max(airyUm, 2 * pitchUm) / request.magnification,
    limitedBy: airyUm > 2 * pitchUm ? 'diffraction' : 'pixels',
  };
}

/**
 * The f-number down to which closing the aperture costs no detail in the picture that is judged: Rayleigh's distance equals two pixels.
 *
 * @returns marked f-number, not rounded to a click stop
 */
export function freeToFNumber(request: PlanRequest): number {
  const wavelengthNm = request.wavelengthNm ?? DEFAULT_WAVELENGTH_NM;
  const effectiveForOne = effectiveFNumber(1, request.magnification, request.pupilRatio ?? DEFAULT_PUPIL_RATIO);
  return (2 * judgedPitchUm(request)) / airyRadiusUm(wavelengthNm, effectiveForOne);
}

function judgedPitchUm(request: PlanRequest): number {
  if (request.outputWidthPx === null || request.frameWidthPx === null) return request.pixelPitchUm;
  return outputPixelPitchUm(request.pixelPitchUm, request.frameWidthPx, request.outputWidthPx);
}
