import { bandResponse } from '../sharpness/band-response.js';
import type { MeasurePlan } from '../sharpness/measure-plan.js';
import { ladderUnit } from './ladder-unit.js';
import { fastCurveSums, fastSpreads, type CurveSums, type SpreadKernel } from './fast-focus-curve.js';
import { DEFOCUS_COUNT, DEFOCUS_STEP, otfTable } from './otf-table.js';

/** Depth spreads inside a tile (standard deviation, DOF) that curves are tabulated for. */
export const SPREADS = [0, 0.1, 0.2, 0.3, 0.45, 0.6, 0.8, 1.05, 1.4, 2.0] as const;

/** Band energy against defocus, 1 in focus at no spread. */
export interface FocusCurve {
  /** spread × defocus (0 … DEFOCUS_MAX): energy. */
  energy: Float64Array;
  /** Its derivative by defocus, per DOF. */
  slope: Float64Array;
  /**
   * defocus (0 … DEFOCUS_MAX): how far a tile's chance strength in focus carries over to its strength at that defocus, 1 … 0. Far from focus
   * other frequencies of the texture are left, and these know little of the ones that stood out in focus.
   */
  kinship: Float64Array;
  /** Defocus at which the amplitude of the main lobe has fallen to a tenth, DOF. */
  reach: number;
  /** In-focus energy, for texture slopes: arbitrary unit common to the bands of a plan. */
  inFocus: number;
}

function sinc(x: number): number { return x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x); }

/** Squared MTF of the measured pixel at a frequency in cycles per pixel: a sinc on each axis, averaged over directions as sinc(f)·sinc(f/2) to within 2 % below f = 0.4. */
export function pixelPower(frequency: number): number { return (sinc(frequency) * sinc(frequency / 2)) ** 2; }

/**
 * Weights over the OTF table's frequencies of one band: |response|² · pixel MTF² · f^(2−2α) d ln f.
 */
function bandWeights(plan: MeasurePlan, band: number, slope: number): Float64Array {
  const { s } = otfTable(ladderUnit(plan)), power = 2 - 2 * slope;
  return plainWeights(plan, band).map((w, i) => (w === 0 ? 0 : w * (s[i] * plan.cutoff) ** power));
}

const known = new WeakMap<MeasurePlan, Float64Array[]>();

/** The part that no slope changes: |response|² · pixel MTF² d ln f. Kept, since a slope is sought among many. */
function plainWeights(plan: MeasurePlan, band: number): Float64Array {
  const ofPlan = known.get(plan) ?? [];
  known.set(plan, ofPlan);
  const { s, lnStep } = otfTable(ladderUnit(plan)), response = bandResponse(plan.bands[band]);
  return ofPlan[band] ??= s.map((ratio) => {
    const f = ratio * plan.cutoff;
    if (f >= 0.95) return 0;
    return response.power(f) * pixelPower(f) * lnStep;
  });
}

/** What each of the OTF table's frequencies gives to a band's energy in focus. */
export function sharpWeights(plan: MeasurePlan, band: number, slope: number): Float64Array {
  const { squared } = otfTable(ladderUnit(plan));
  return bandWeights(plan, band, slope).map((w, i) => w * squared[i * DEFOCUS_COUNT]);
}

/** In-focus energy of a band for a texture whose amplitude spectrum falls as f^−α. */
export const inFocusEnergy = (plan: MeasurePlan, band: number, slope: number): number => sharpWeights(plan, band, slope).reduce((sum, w) => sum + w, 0);

/** Places of the kernel within one sigma, at least: a curve that wide is smooth, and finer ones change its fourth digit. */
const PLACES_A_SIGMA = 10;

/** How depths inside a tile are spread: half a box along the local plane, half a Gaussian. */
function spreadKernel(sigma: number): SpreadKernel {
  const stride = Math.max(1, Math.floor(sigma / DEFOCUS_STEP / PLACES_A_SIGMA)), step = stride * DEFOCUS_STEP, reach = Math.ceil((4 * sigma) / step);
  const halfBox = Math.sqrt(3) * sigma;
  const weight = new Float64Array(reach + 1);
  let gaussSum = 0, boxSum = 0;
  const gauss = new Float64Array(reach + 1), box = new Float64Array(reach + 1);
  for (let i = 0; i <= reach; i++) {
    const x = i * step, sides = i ? 2 : 1;
    gauss[i] = Math.exp(-0.5 * (x / sigma) ** 2);
    box[i] = Math.min(1, Math.max(0, (halfBox - x) / step + 0.5));
    gaussSum += sides * gauss[i];
    boxSum += sides * box[i];
  }
  for (let i = 0; i <= reach; i++) weight[i] = 0.5 * (gauss[i] / gaussSum + box[i] / boxSum);
  return { weight, stride };
}
const kernels = SPREADS.map((sigma) => (sigma > 0 ? spreadKernel(sigma) : null));

/** Mirrored about zero defocus; beyond the last the last value holds. */
function spreadOut(curve: Float64Array, { weight, stride }: SpreadKernel): Float64Array {
  const n = curve.length, reach = (weight.length - 1) * stride, out = new Float64Array(n + 3), padded = new Float64Array(n + 2 * reach + 3).fill(curve[n - 1]);
  padded.set(curve, reach);
  for (let i = 1; i <= reach; i++) padded[reach - i] = curve[i];
  // Four places at a time: one sum alone would wait for each addition.
  for (let j = 0; j < n; j += 4) {
    const at = j + reach;
    let a = weight[0] * padded[at], b = weight[0] * padded[at + 1], c = weight[0] * padded[at + 2], d = weight[0] * padded[at + 3];
    for (let i = 1, left = at - stride, right = at + stride; i < weight.length; i++, left -= stride, right += stride) {
      const w = weight[i];
      a += w * (padded[left] + padded[right]);
      b += w * (padded[left + 1] + padded[right + 1]);
      c += w * (padded[left + 2] + padded[right + 2]);
      d += w * (padded[left + 3] + padded[right + 3]);
    }
    out[j] = a; out[j + 1] = b; out[j + 2] = c; out[j + 3] = d;
  }
  return out.subarray(0, n);
}

/**
 * The exact focus curve of a band: G(δ) = ∫ response² · pixel² · OTF(s, δ/2)² f^(2−2α) d ln f, normalised at δ = 0.
 *
 * @param slope α, the texture's spectral slope (amplitude ∝ f^−α)
 * @param texture the texture's power over that law's, at the OTF table's frequencies (texture-spectrum.ts); null: the law alone
 */
export function focusCurve(plan: MeasurePlan, band: number, slope: number, texture: Float64Array | null = null): FocusCurve {
  const { squared, s } = otfTable(ladderUnit(plan));
  const plain = bandWeights(plan, band, slope), weights = texture ? plain.map((w, i) => w * texture[i]) : plain;
  const { sharp, kinship, own } = fastCurveSums(squared, s, weights, DEFOCUS_COUNT) ?? plainCurveSums(squared, s, weights);
  const inFocus = sharp[0];
  // Regression of the energy at a defocus on the energy in focus, both relative to their means, for a random texture:
  // Σ(w₀w_δ/n)·Σw₀ / (Σ(w₀²/n)·Σw_δ), n ∝ f² the number of independent components in an octave's ring of frequencies.
  for (let j = 0; j < DEFOCUS_COUNT; j++) kinship[j] = Math.min(1, sharp[j] > 0 ? (kinship[j] * inFocus) / (own * sharp[j]) : 1);
  for (let j = 0; j < DEFOCUS_COUNT; j++) sharp[j] /= inFocus;
  const energy = fastSpreads(sharp, kernels) ?? plainSpreads(sharp), derivative = new Float64Array(energy.length);
  for (let i = 0; i < SPREADS.length; i++) for (let j = i * DEFOCUS_COUNT + 1, end = j + DEFOCUS_COUNT - 2; j < end; j++) derivative[j] = (energy[j + 1] - energy[j - 1]) / (2 * DEFOCUS_STEP);
  let reach = 0;
  while (reach < DEFOCUS_COUNT - 1 && sharp[reach] > 0.01) reach++;
  return { energy, slope: derivative, kinship, reach: reach * DEFOCUS_STEP, inFocus };
}

function plainCurveSums(squared: Float64Array, s: Float64Array, weights: Float64Array): CurveSums {
  const sharp = new Float64Array(DEFOCUS_COUNT), kinship = new Float64Array(DEFOCUS_COUNT);
  let own = 0;
  for (let i = 0; i < weights.length; i++) {
    const w = weights[i];
    if (w === 0) continue;
    const focused = w * squared[i * DEFOCUS_COUNT], perComponent = focused / s[i] ** 2, cross = w * perComponent;
    own += focused * perComponent;
    for (let j = 0, k = i * DEFOCUS_COUNT; j < DEFOCUS_COUNT; j++, k++) { const v = squared[k]; sharp[j] += w * v; kinship[j] += cross * v; }
  }
  return { sharp, kinship, own };
}

function plainSpreads(sharp: Float64Array): Float64Array {
  const energy = new Float64Array(SPREADS.length * DEFOCUS_COUNT);
  kernels.forEach((kernel, i) => energy.set(kernel ? spreadOut(sharp, kernel) : sharp, i * DEFOCUS_COUNT));
  return energy;
}

/** Where a spread falls between the tabulated ones: index and fraction. */
export function spreadIndex(sigma: number): { index: number; fraction: number } {
  const last = SPREADS.length - 1;
  if (!(sigma > 0)) return { index: 0, fraction: 0 };
  if (sigma >= SPREADS[last]) return { index: last - 1, fraction: 1 };
  let index = 0;
  while (SPREADS[index + 1] <= sigma) index++;
  return { index, fraction: (sigma - SPREADS[index]) / (SPREADS[index + 1] - SPREADS[index]) };
}

/** Energy of a curve at a defocus (DOF, any sign) and a tabulated spread index, linearly interpolated. */
export function energyAt(curve: FocusCurve, spread: number, defocus: number): number {
  const x = Math.min(Math.abs(defocus) / DEFOCUS_STEP, DEFOCUS_COUNT - 1.001);
  const j = Math.floor(x), f = x - j, i = spread * DEFOCUS_COUNT + j;
  return (1 - f) * curve.energy[i] + f * curve.energy[i + 1];
}

/**
 * Expected energy of a tile at a defocus: its own in-focus energy as far as that carries over, its neighbourhood's for the rest.
 *
 * @param own, local in-focus energy of the tile and mean of its neighbourhood
 * @param chance share of the tiles' differences that is chance (speckle), 0…1
 */
export function expectedEnergy(curve: FocusCurve, spread: number, defocus: number, own: number, local: number, chance: number): number {
  const j = Math.min(Math.round(Math.abs(defocus) / DEFOCUS_STEP), DEFOCUS_COUNT - 1), away = chance * (1 - curve.kinship[j]);
  return energyAt(curve, spread, defocus) * (own + away * (local - own));
}
