import { halvingPower } from '../sharpness/halving-power.js';
import type { MeasurePlan } from '../sharpness/measure-plan.js';
import { pixelPower, sharpWeights } from './focus-curve.js';
import { ladderUnit } from './ladder-unit.js';
import { otfTable } from './otf-table.js';
import { FIRST_BIN, sharpenSpectrum } from './sharpen-spectrum.js';
import type { TileStack } from './tile-stack.js';
import { PARTS_PER_CELL, RADII } from './window-leakage.js';
import { HIGHEST_SHARE, powerInFocus } from './windows-in-focus.js';

/** Structure at which half of what is measured is believed. */
const STRUCTURE = 0.2;
/** A spectrum is not taken to fall below this share of the law. */
const LEAST_POWER = 0.02;

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
  const { plan } = stack, { s } = otfTable(ladderUnit(plan));
  const found = plan.bands.map((band, b) => {
    const measured = powerInFocus(stack, b, depth, z);
    if (!measured) return null;
    const { sizePx, bins } = stack.spectra[0][band.level]!, pixels = sizePx * 2 ** band.level;
    const used = Array.from({ length: bins }, (_, i) => i < bins - 1 && !Number.isNaN(measured[i]) && (i + 0.5) / pixels < HIGHEST_SHARE * plan.cutoff);
    const { flat, frequency } = flatLaw(plan, band.level, pixels), law = flat.map((power, r) => power * frequency[r] ** (-2 * slopes[b]) + 1e-12);
    const over = sharpenSpectrum(measured, used, law);
    const texture = s.map((ratio) => {
      const r = ratio * plan.cutoff * pixels * PARTS_PER_CELL, i = Math.floor(r), f = r - i;
      return r <= FIRST_BIN * PARTS_PER_CELL || r >= (bins - 1.5) * PARTS_PER_CELL ? 1 : Math.max(LEAST_POWER, (1 - f) * over[i] + f * over[i + 1]);
    });
    return { texture, structure: structureOf(texture, sharpWeights(plan, b, slopes[b]).map((w, i) => (s[i] * plan.cutoff < 0.5 ? w : 0))) };
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

interface FlatLaw { flat: Float64Array; frequency: Float64Array }
const known = new WeakMap<MeasurePlan, FlatLaw[]>();

/** In-focus power at the windows' radii of a texture whose spectrum does not fall, and their frequencies. Kept: no slope changes it. */
function flatLaw(plan: MeasurePlan, level: number, pixels: number): FlatLaw {
  const ofPlan = known.get(plan) ?? [];
  known.set(plan, ofPlan);
  if (ofPlan[level]) return ofPlan[level];
  const { squared, lineOf } = otfTable(ladderUnit(plan)), frequency = Float64Array.from({ length: RADII }, (_, r) => Math.max(r, FIRST_BIN) / PARTS_PER_CELL / pixels);
  const flat = frequency.map((f) => (f / plan.cutoff > HIGHEST_SHARE ? 0 : pixelPower(f) * halvingPower(level, f) * squared[lineOf(f / plan.cutoff)]));
  return ofPlan[level] = { flat, frequency };
}
