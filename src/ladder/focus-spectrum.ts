import { inFocusMtf } from '../optics/in-focus-mtf.js';
import { halvingPower } from '../sharpness/halving-power.js';
import type { MeasurePlan, SpectrumWindows } from '../sharpness/measure-plan.js';
import { pixelPower } from './focus-curve.js';

/** Bins from which a window's sharpest and softest frame are told; the ones below hold light and shade. */
const TELLING = [2, 3, 4] as const;
const FIRST_BIN = 2;
/** Power over the softest frame's from which a bin shows the texture and not noise, or what compression leaves of it. */
const CLEAR = 12;
/** How well ln power follows a smooth slope, and what the slope (of amplitude, f^−α) is for most textures. */
const LN_ERROR = 0.4, USUAL_SLOPE = 1.3, SLOPE_SPREAD = 0.35;
const LEAST_SLOPE = 0.4, MOST_SLOPE = 3, SLOPE_STEP = 0.05;
/** Power a lens lets pass at least, so that a frequency beyond the cutoff counts as unlikely and not as impossible. */
const LEAST_POWER = 1e-6;

/** In-focus power of a stack's texture by frequency (cycles per source pixel), and where it stands clear of noise. */
export interface FocusSpectrum { frequency: number[]; power: number[]; clear: boolean[] }

/**
 * Power of every window in the frame that shows it sharpest, against the frame that shows it softest.
 *
 * @param spectra frame, then pyramid level: the same windows in each frame
 * @returns null where nothing was measured
 */
export function focusSpectrum(plan: MeasurePlan, spectra: readonly (readonly (SpectrumWindows | null)[])[]): FocusSpectrum | null {
  const { level } = plan.bands[0], windows = spectra.flatMap((levels) => levels[level] ?? []);
  if (windows.length < 2 || windows[0].row.length === 0) return null;
  const { bins, row } = windows[0], sharp = new Float64Array(bins), soft = new Float64Array(bins);
  for (let w = 0; w < row.length; w++) {
    const detail = windows.map(({ power }) => TELLING.reduce((sum, i) => sum + power[w * bins + i], 0));
    const most = windows[detail.indexOf(Math.max(...detail))].power, least = windows[detail.indexOf(Math.min(...detail))].power;
    for (let i = 0; i < bins; i++) { sharp[i] += most[w * bins + i]; soft[i] += least[w * bins + i]; }
  }
  const used = Array.from({ length: bins - FIRST_BIN }, (_, i) => i + FIRST_BIN), frequency = used.map((i) => (i + 0.5) / (2 * bins) / 2 ** level);
  return { frequency: frequency.map((f) => f / plan.bin), power: used.map((i, j) => sharp[i] / (halvingPower(level, frequency[j]) * pixelPower(frequency[j]))), clear: used.map((i) => sharp[i] > CLEAR * soft[i]) };
}

/**
 * How ill a cutoff goes with the spectrum of what is in focus (χ²): the texture's power should fall smoothly and, at the cutoff, end.
 * Bins that don't stand clear of noise say only that there is no more than that.
 *
 * @param cutoff cycles per source pixel
 */
export function spectrumMisfit({ frequency, power, clear }: FocusSpectrum, cutoff: number): number {
  const passed = frequency.map((f) => inFocusMtf(Math.min(1, f / cutoff)) ** 2), ln = power.map(Math.log);
  let best = Infinity;
  for (let slope = LEAST_SLOPE; slope <= MOST_SLOPE; slope += SLOPE_STEP) {
    const model = frequency.map((f, i) => Math.log(Math.max(LEAST_POWER, passed[i]) * f ** (-2 * slope)));
    let sum = 0, n = 0;
    model.forEach((v, i) => { if (clear[i]) { sum += ln[i] - v; n++; } });
    if (n === 0) return 0;
    let misfit = ((slope - USUAL_SLOPE) / SLOPE_SPREAD) ** 2;
    model.forEach((v, i) => { const off = (ln[i] - v - sum / n) / LN_ERROR; if (clear[i] || off < 0) misfit += off * off; });
    best = Math.min(best, misfit);
  }
  return best;
}
