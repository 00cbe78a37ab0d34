import { requirePositive } from './require-positive.js';

/**
 * Frequency beyond which a lens passes nothing, 1 / (λ N_eff), on the sensor.
 *
 * @param wavelengthNm above 0
 * @param effectiveFNumber N_eff, above 0
 * @returns cycles per millimetre
 * @throws RangeError for values that are not positive
 */
export function cutoffCyclesPerMm(wavelengthNm: number, effectiveFNumber: number): number {
  requirePositive('wavelength', wavelengthNm);
  requirePositive('effective f-number', effectiveFNumber);
  return 1 / (wavelengthNm * 1e-6 * effectiveFNumber);
}

/**
 * The same cutoff in cycles per pixel; above 0.5 the pixels, not the lens, limit what is recorded.
 *
 * @param pixelPitchUm distance of pixel centres, above 0
 */
export function cutoffCyclesPerPixel(wavelengthNm: number, effectiveFNumber: number, pixelPitchUm: number): number {
  requirePositive('pixel pitch', pixelPitchUm);
  return (cutoffCyclesPerMm(wavelengthNm, effectiveFNumber) * pixelPitchUm) / 1000;
}
