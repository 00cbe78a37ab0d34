import { invertSimilarity, turnOf, type Similarity } from '../registration/similarity.js';
import { bandResponse } from '../sharpness/band-response.js';
import { halvingPower } from '../sharpness/halving-power.js';
import type { SpectrumWindows } from '../sharpness/measure-plan.js';
import { pixelPower } from './focus-curve.js';
import { ladderUnit } from './ladder-unit.js';
import { DEFOCUS_COUNT, DEFOCUS_STEP, otfTable } from './otf-table.js';
import { FIRST_BIN, sharpenSpectrum } from './sharpen-spectrum.js';
import type { TileStack } from './tile-stack.js';
import { PARTS_PER_CELL, RADII } from './window-leakage.js';

/** A window takes part in a frame that leaves this much of the band's energy in it. */
const LEAST_ENERGY = 0.5;
/** Fewer windows in focus tell no spectrum. */
const FEWEST_WINDOWS = 12;
/** Part of a window, from its middle, that its weights let count; how much of it must have known depths. */
const INNER_SHARE = 0.6, LEAST_KNOWN = 0.5;
/** Depths read along a window's edge at most. */
const MOST_ACROSS = 5;
/** Frequencies beyond this share of the cutoff hold noise alone. */
const HIGHEST_SHARE = 0.95;

/** Bins in which the windows in focus show less than this many times the noise are left to the law: the noise is taken to be white, and is not quite. */
const LEAST_SIGNAL = 10;
/** Structure at which half of what is measured is believed. */
const STRUCTURE = 0.2;
/** A spectrum is not taken to fall below this share of the law. */
const LEAST_POWER = 0.02;

/** OTF² at a frequency over the cutoff and a defocus, ladder units. */
type Contrast = (ratio: number, defocus: number) => number;

/**
 * The texture's own spectrum in each band, from the FFT windows of all frames where they are in focus: growth lines or grain of one size stand out of
 * the power law that the bands' energies alone can tell, and lines near a band's upper end defocus faster than the law says.
 *
 * @param depth of the tile grid, ladder units; NaN where unknown
 * @param z frame positions, ladder units
 * @param slopes texture slope of each band
 * @returns per band, at the OTF table's frequencies: power over the power law's; null where too few windows are in focus
 */
export function textureSpectra(stack: TileStack, depth: Float64Array, z: ArrayLike<number>, slopes: readonly number[]): (Float64Array | null)[] {
  const { plan } = stack, { s, lnStep, squared } = otfTable(ladderUnit(plan)), lnFirst = Math.log(s[0]);
  // A logarithm a frequency, not one a look-up: the same few frequencies are asked for all windows.
  const rowOf = new Map<number, number>();
  const contrast: Contrast = (ratio, defocus) => {
    let i = rowOf.get(ratio);
    if (i === undefined) rowOf.set(ratio, i = Math.min(s.length - 1, Math.max(0, Math.round((Math.log(ratio) - lnFirst) / lnStep))));
    return squared[i * DEFOCUS_COUNT + Math.min(DEFOCUS_COUNT - 1, Math.round(Math.abs(defocus) / DEFOCUS_STEP))];
  };
  const found = plan.bands.map((band, b) => {
    const measured = inFocusPower(stack, b, depth, z, contrast);
    if (!measured) return null;
    const { sizePx, bins } = stack.spectra[0][band.level]!, pixels = sizePx * 2 ** band.level;
    const used = Array.from({ length: bins }, (_, i) => i < bins - 1 && !Number.isNaN(measured[i]) && (i + 0.5) / pixels < HIGHEST_SHARE * plan.cutoff);
    const law = Float64Array.from({ length: RADII }, (_, r) => {
      const f = Math.max(r, FIRST_BIN) / PARTS_PER_CELL / pixels, ratio = f / plan.cutoff;
      return ratio > HIGHEST_SHARE ? 1e-12 : f ** (-2 * slopes[b]) * pixelPower(f) * halvingPower(band.level, f) * contrast(ratio, 0) + 1e-12;
    });
    const over = sharpenSpectrum(measured, used, law), response = bandResponse(band);
    const texture = s.map((ratio) => {
      const r = ratio * plan.cutoff * pixels * PARTS_PER_CELL, i = Math.floor(r), f = r - i;
      return r <= FIRST_BIN * PARTS_PER_CELL || r >= (bins - 1.5) * PARTS_PER_CELL ? 1 : Math.max(LEAST_POWER, (1 - f) * over[i] + f * over[i + 1]);
    });
    const weight = s.map((ratio) => { const f = ratio * plan.cutoff; return f < 0.5 ? response.power(f) * pixelPower(f) * f ** (2 - 2 * slopes[b]) * contrast(ratio, 0) : 0; });
    return { texture, structure: structureOf(texture, weight) };
  });
  // A texture that has lines in one band is known by its spectrum in all of them; one without is known better by the law.
  const most = Math.max(1e-6, ...found.map((band) => band?.structure ?? 0)), share = 1 / (1 + (STRUCTURE / most) ** 4);
  return found.map((band) => band && band.texture.map((v) => v ** share));
}

/**
 * How far a spectrum is from any power law: weighted standard deviation of its logarithm about a straight line. A tilt alone is told better by the
 * bands' energies, from which no noise of unknown colour has to be taken.
 */
function structureOf(spectrum: Float64Array, weight: Float64Array): number {
  let n = 0, x = 0, y = 0, xx = 0, xy = 0, yy = 0;
  spectrum.forEach((v, i) => { const w = weight[i], ln = Math.log(v); n += w; x += w * i; y += w * ln; xx += w * i * i; xy += w * i * ln; yy += w * ln * ln; });
  if (!(n > 0)) return 0;
  const along = Math.max(xx - (x * x) / n, 1e-12), both = xy - (x * y) / n;
  return Math.sqrt(Math.max(0, yy - (y * y) / n - both ** 2 / along) / n);
}

/**
 * Mean power in a band's windows if all were in focus, noise taken off as white noise of the fine band's level (the coarser bands' own is mostly what is left of the subject); each window
 * counts by its contrast, not by its strength.
 */
function inFocusPower(stack: TileStack, b: number, depth: Float64Array, z: ArrayLike<number>, contrast: Contrast): Float64Array | null {
  const { plan, frames } = stack, band = plan.bands[b], first = stack.spectra[0]?.[band.level];
  if (!first) return null;
  const { bins, sizePx, row } = first, ratio = Float64Array.from({ length: bins }, (_, i) => (i + 0.5) / (sizePx * 2 ** band.level) / plan.cutoff);
  const sharp = ratio.map((r) => contrast(r, 0)), white = ratio.map((r) => halvingPower(band.level, r * plan.cutoff) / bandResponse(plan.bands[0]).noiseGain);
  const centre = band.centre / plan.cutoff, middle = ratio.findIndex((r) => r >= centre);
  const top = new Float64Array(bins), bottom = new Float64Array(bins), noisy = new Float64Array(bins);
  let taken = 0;
  for (let k = 0; k < frames; k++) {
    const { power } = stack.spectra[k][band.level]!, exposure = Math.exp(-2 * stack.gain[k]), back = invertSimilarity(stack.transforms[k]);
    for (let w = 0; w < row.length; w++) {
      const depths = depthsInWindow(stack, depth, first, 2 ** band.level, w, back);
      if (!depths) continue;
      const meanContrast = (r: number): number => depths.reduce((sum, d) => sum + contrast(r, z[k] - d), 0) / depths.length;
      const left = meanContrast(centre) / contrast(centre, 0);
      if (left < LEAST_ENERGY) continue;
      taken++;
      let strength = 1e-12;
      for (let i = Math.max(1, middle - 2); i <= Math.min(bins - 1, middle + 2); i++) strength += power[w * bins + i] * exposure;
      for (let i = 0; i < bins && ratio[i] < HIGHEST_SHARE; i++) {
        const noise = (left / strength) * stack.noise[0][k] * white[i];
        noisy[i] += noise;
        top[i] += (left / strength) * power[w * bins + i] * exposure - noise;
        bottom[i] += ((left / strength) * meanContrast(ratio[i])) / sharp[i];
      }
    }
  }
  return taken < FEWEST_WINDOWS ? null : top.map((v, i) => (bottom[i] > 0 && v > LEAST_SIGNAL * noisy[i] ? v / bottom[i] : NaN));
}

/** Depths known in the inner part of a window of a frame; null where too few are. */
function depthsInWindow(stack: TileStack, depth: Float64Array, { sizePx, row, column }: SpectrumWindows, scale: number, w: number, back: Similarity): number[] | null {
  const { rows, columns, tilePx, gridRows, gridColumns } = stack, reach = (INNER_SHARE * sizePx * scale) / 2, { cosine, sine } = turnOf(back);
  const found: number[] = [];
  let all = 0;
  const stride = Math.max(tilePx / 2, (2 * reach) / MOST_ACROSS);
  for (let y = row[w] * scale - reach; y < row[w] * scale + reach; y += stride) for (let x = column[w] * scale - reach; x < column[w] * scale + reach; x += stride) {
    all++;
    const down = y - rows / 2, across = x - columns / 2;
    const r = Math.floor((cosine * down - sine * across + back.row + rows / 2) / tilePx), c = Math.floor((sine * down + cosine * across + back.column + columns / 2) / tilePx);
    if (r < 0 || c < 0 || r >= gridRows || c >= gridColumns) continue;
    const d = depth[r * gridColumns + c];
    if (!Number.isNaN(d)) found.push(d);
  }
  return found.length >= Math.max(3, LEAST_KNOWN * all) ? found : null;
}
