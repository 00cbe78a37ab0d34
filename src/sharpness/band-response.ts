import { bandSigmaPx, gaussianHalfKernel } from './gaussian-kernel.js';
import { laplacianResponse } from './laplacian.js';
import type { BandPlan } from './measure-plan.js';

/** A band's true discrete response, on measured pixels. */
export interface BandResponse {
  /** Squared amplitude response averaged over directions, at a frequency in cycles per measured pixel. */
  power(frequency: number): number;
  /** Variance of the response to white noise of unit variance on measured pixels, with what folds back on halving. */
  noiseGain: number;
  /** Factor by which a raw response is multiplied so that its peak is 1. */
  scale: number;
}

const DIRECTIONS = 12;
const responses = new Map<string, BandResponse>();

/** Amplitude response on the two axes, in cycles per measured pixel, before scaling. */
function rawAmplitude(band: BandPlan, half: Float64Array, rowFrequency: number, columnFrequency: number): number {
  let amplitude = 1;
  const levelScale = 2 ** band.level;
  for (let level = 0; level < band.level; level++) {
    amplitude *= (Math.cos(Math.PI * rowFrequency * 2 ** level) * Math.cos(Math.PI * columnFrequency * 2 ** level)) ** 3;
  }
  const fr = rowFrequency * levelScale, fc = columnFrequency * levelScale;
  let gr = half[0], gc = half[0];
  for (let i = 1; i < half.length; i++) { gr += 2 * half[i] * Math.cos(2 * Math.PI * i * fr); gc += 2 * half[i] * Math.cos(2 * Math.PI * i * fc); }
  return amplitude * gr * gc * laplacianResponse(fr, fc) ** band.order;
}

/**
 * Response of a band as it is measured: halving filters, sampled Gaussian and discrete Laplacian, as one.
 * Derived from the kernels' own coefficients, so it stays true where the continuous formula would not.
 */
export function bandResponse(band: BandPlan): BandResponse {
  const key = `${band.centre}/${band.order}/${band.level}`;
  const known = responses.get(key);
  if (known) return known;
  const half = gaussianHalfKernel(bandSigmaPx(band.centre * 2 ** band.level, band.order));
  const mean = (frequency: number): number => {
    let sum = 0;
    for (let i = 0; i < DIRECTIONS; i++) {
      const angle = ((i + 0.5) / DIRECTIONS) * (Math.PI / 2);
      sum += rawAmplitude(band, half, frequency * Math.sin(angle), frequency * Math.cos(angle)) ** 2;
    }
    return sum / DIRECTIONS;
  };
  let peak = 0;
  for (let f = 0.3 * band.centre; f < 2 * band.centre; f += band.centre / 50) peak = Math.max(peak, mean(f));
  const points = 128;
  let noise = 0;
  for (let i = 0; i < points; i++) for (let j = 0; j < points; j++) noise += rawAmplitude(band, half, (i + 0.5) / (2 * points), (j + 0.5) / (2 * points)) ** 2;
  const response = { power: (frequency: number) => mean(frequency) / peak, noiseGain: noise / points ** 2 / peak, scale: 1 / Math.sqrt(peak) };
  responses.set(key, response);
  return response;
}
