import { requirePositive } from './require-positive.js';

/**
 * f-number at work, N (1 + m/P). The marked number holds at far focus only (ISO 517).
 *
 * @param fNumber marked f-number N, above 0
 * @param magnification picture size over subject size m, above 0
 * @param pupilRatio exit over entrance pupil diameter P, above 0 (1 for a symmetrical lens)
 * @returns effective f-number on the picture side, no unit
 * @throws RangeError for values that are not positive
 */
export function effectiveFNumber(fNumber: number, magnification: number, pupilRatio: number): number {
  requirePositive('f-number', fNumber);
  requirePositive('magnification', magnification);
  requirePositive('pupil ratio', pupilRatio);
  return fNumber * (1 + magnification / pupilRatio);
}
