import type { MeasurePlan } from '../sharpness/measure-plan.js';
import { inFocusEnergy } from './focus-curve.js';

const LOWEST = -0.5, HIGHEST = 4, STEP = 0.1;
const COUNT = Math.round((HIGHEST - LOWEST) / STEP) + 1;

/** ln of the in-focus amplitude ratio between band b and b+1 on a grid of slopes. */
export function slopeTable(plan: MeasurePlan): Float64Array[] {
  const ln = plan.bands.map((_, band) => Float64Array.from({ length: COUNT }, (__, i) => 0.5 * Math.log(inFocusEnergy(plan, band, LOWEST + i * STEP))));
  return plan.bands.slice(1).map((_, b) => ln[b].map((value, i) => value - ln[b + 1][i]));
}

/**
 * The texture slope whose in-focus amplitude ratio between two neighbouring bands is the one measured.
 *
 * @param table one row of {@link slopeTable}, falling with the slope
 * @param lnRatio ln(amplitude of the finer band / amplitude of the coarser)
 * @returns α, held to −0.5 … 4
 */
export function slopeFromRatio(table: Float64Array, lnRatio: number): number {
  if (lnRatio >= table[0]) return LOWEST;
  for (let i = 1; i < COUNT; i++) {
    if (lnRatio >= table[i]) return LOWEST + STEP * (i - 1 + (table[i - 1] - lnRatio) / (table[i - 1] - table[i]));
  }
  return HIGHEST;
}
