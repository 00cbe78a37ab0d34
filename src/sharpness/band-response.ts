import { bandSigmaPx, gaussianHalfKernel } from './gaussian-kernel.js';
import { laplacianOfCosines } from './laplacian.js';
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

/** What one axis gives to the amplitude response at a frequency in cycles per measured pixel: halving filters and Gaussian as `gain`, and the cosine the Laplacian needs. */
interface AxisResponse { gain: number; cosine: number }

function axisResponse(band: BandPlan, half: Float64Array, frequency: number): AxisResponse {
  let gain = 1;
  for (let level = 0; level < band.level; level++) gain *= Math.cos(Math.PI * frequency * 2 ** level) ** 3;
  const angle = 2 * Math.PI * frequency * 2 ** band.level;
  let smooth = half[0];
  for (let i = 1; i < half.length; i++) smooth += 2 * half[i] * Math.cos(i * angle);
  return { gain: gain * smooth, cosine: Math.cos(angle) };
}

/** Amplitude response before scaling. */
function rawAmplitude(order: number, row: AxisResponse, column: AxisResponse): number {
  return row.gain * column.gain * laplacianOfCosines(row.cosine, column.cosine) ** order;
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
      sum += rawAmplitude(band.order, axisResponse(band, half, frequency * Math.sin(angle)), axisResponse(band, half, frequency * Math.cos(angle))) ** 2;
    }
    return sum / DIRECTIONS;
  };
  let peak = 0;
  for (let f = 0.3 * band.centre; f < 2 * band.centre; f += band.centre / 50) peak = Math.max(peak, mean(f));
  const points = 128;
  let noise = 0;
  const axis = Array.from({ length: points }, (_, i) => axisResponse(band, half, (i + 0.5) / (2 * points)));
  for (const row of axis) for (const column of axis) noise += rawAmplitude(band.order, row, column) ** 2;
  const response = { power: (frequency: number) => mean(frequency) / peak, noiseGain: noise / points ** 2 / peak, scale: 1 / Math.sqrt(peak) };
  responses.set(key, response);
  return response;
}
