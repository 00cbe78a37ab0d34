import { requirePositive } from './require-positive.js';

/**
 * Defocus at the pupil's edge for an axial offset on the subject's side, W = NA² Δz / (2 λ).
 *
 * @param offsetUm distance from the plane of focus, any sign
 * @returns waves, with the offset's sign; half a wave for one λ/NA²
 * @throws RangeError for an NA or wavelength that is not positive
 */
export function defocusWaves(offsetUm: number, numericalAperture: number, wavelengthNm: number): number {
  requirePositive('numerical aperture', numericalAperture);
  requirePositive('wavelength', wavelengthNm);
  return (numericalAperture * numericalAperture * offsetUm * 1000) / (2 * wavelengthNm);
}

/** The inverse: the axial offset in µm that gives `waves` of defocus. */
export function defocusOffsetUm(waves: number, numericalAperture: number, wavelengthNm: number): number {
  requirePositive('numerical aperture', numericalAperture);
  requirePositive('wavelength', wavelengthNm);
  return (2 * wavelengthNm * waves) / 1000 / (numericalAperture * numericalAperture);
}
