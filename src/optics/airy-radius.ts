import { requirePositive } from './require-positive.js';

/** First zero of the Bessel function J₁ over π (Abramowitz & Stegun table 9.5; OEIS A245461). */
const FIRST_ZERO_OVER_PI = 1.2196698912665;

/**
 * Radius of the first dark ring of the Airy pattern on the sensor, 1.21967 λ N_eff.
 *
 * @param wavelengthNm above 0
 * @param effectiveFNumber N_eff, above 0
 * @returns µm on the sensor; divided by the magnification, the finest detail a lens resolves on the subject (Rayleigh)
 * @throws RangeError for values that are not positive
 */
export function airyRadiusUm(wavelengthNm: number, effectiveFNumber: number): number {
  requirePositive('wavelength', wavelengthNm);
  requirePositive('effective f-number', effectiveFNumber);
  return (FIRST_ZERO_OVER_PI * wavelengthNm * effectiveFNumber) / 1000;
}
