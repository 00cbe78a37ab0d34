import { halvingPower } from '../sharpness/halving-power.js';
import type { MeasurePlan, SpectrumWindows } from '../sharpness/measure-plan.js';
import { quantile } from './statistics.js';

/** Radial bins that hold the finest detail, as shares of all; the last holds the corners' neighbourhood and folds. */
const FROM_SHARE = 11 / 16, TO_SHARE = 15 / 16;
/** Windows this quiet: fewer would be chance. */
const QUIET = 0.05;

/**
 * Power of the finest detail in the quietest windows of all frames: what is left of a texture there falls steeply with frequency and with defocus, noise does not.
 *
 * @param spectra frame, then pyramid level
 * @returns as the variance, on measured pixels, of white noise of that power; null where no windows were measured
 */
export function quietSpectrum(plan: MeasurePlan, spectra: readonly (readonly (SpectrumWindows | null)[])[]): number | null {
  const level = plan.bands[0].level, powers: number[] = [];
  for (const levels of spectra) {
    const windows = levels[level];
    if (!windows) continue;
    const { bins, power, row } = windows, from = Math.round(FROM_SHARE * bins), to = Math.round(TO_SHARE * bins);
    const white = Array.from({ length: bins }, (_, i) => halvingPower(level, (i + 0.5) / (2 * bins) / 2 ** level) / 4 ** level);
    for (let w = 0; w < row.length; w++) {
      let sum = 0;
      for (let i = from; i < to; i++) sum += power[w * bins + i] / white[i];
      powers.push(sum / (to - from));
    }
  }
  return powers.length ? quantile(powers, QUIET) : null;
}
