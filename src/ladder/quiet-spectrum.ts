import { halvingPower } from '../sharpness/halving-power.js';
import type { MeasurePlan, SpectrumWindows } from '../sharpness/measure-plan.js';
import { quantile } from './statistics.js';

/** Frequencies looked at, as multiples of the fine band's: texture is weaker there, and noise not yet what compression leaves of it. */
const FROM = 1.55, TO = 2.1;
/** Windows this quiet: fewer would be chance. */
const QUIET = 0.05;

/**
 * Power of detail finer than the fine band in the quietest windows of all frames: what is left of a texture there falls steeply with frequency and with defocus, noise does not.
 *
 * @param spectra frame, then pyramid level
 * @returns as the variance, on measured pixels, of white noise of that power; null where no windows were measured
 */
export function quietSpectrum(plan: MeasurePlan, spectra: readonly (readonly (SpectrumWindows | null)[])[]): number | null {
  const level = plan.bands[0].level, powers: number[] = [];
  for (const levels of spectra) {
    const windows = levels[level];
    if (!windows) continue;
    const { bins, power, row } = windows, perBin = 1 / (2 * bins) / 2 ** level, { centre } = plan.bands[0];
    const to = Math.min(bins - 1, Math.round((TO * centre) / perBin)), from = Math.min(to - 1, Math.round((FROM * centre) / perBin));
    const white = Array.from({ length: bins }, (_, i) => halvingPower(level, (i + 0.5) * perBin) / 4 ** level);
    for (let w = 0; w < row.length; w++) {
      let sum = 0;
      for (let i = from; i < to; i++) sum += power[w * bins + i] / white[i];
      powers.push(sum / (to - from));
    }
  }
  return powers.length ? quantile(powers, QUIET) : null;
}
