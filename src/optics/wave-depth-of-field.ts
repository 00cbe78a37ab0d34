import { requirePositive } from './require-positive.js';

/** Wavelength assumed where none is given: green, where the eye and a camera's luminance weigh most. */
export const DEFAULT_WAVELENGTH_NM = 550;

/**
 * Wave depth of field n λ / NA² in µm: the depth over which defocus stays within a quarter wave either side.
 *
 * @param wavelengthNm wavelength in vacuum, above 0
 * @param numericalAperture object-side NA, above 0
 * @param refractiveIndex of the medium around the subject, 1 in air
 * @throws RangeError for values that are not positive
 */
export function waveDepthOfFieldUm(wavelengthNm: number, numericalAperture: number, refractiveIndex = 1): number {
  requirePositive('wavelength', wavelengthNm);
  requirePositive('numerical aperture', numericalAperture);
  requirePositive('refractive index', refractiveIndex);
  return (refractiveIndex * wavelengthNm) / 1000 / (numericalAperture * numericalAperture);
}
