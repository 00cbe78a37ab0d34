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
/** Shares of its centre that a band's peak lies between: at 0.82 … 1, whatever its order and level. */
const PEAK_FROM = 0.7, PEAK_TO = 1.2;
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
    // Directions beyond the diagonal have the axes of those before it, the other way round.
    let sum = 0;
    for (let i = 0; i < DIRECTIONS / 2; i++) {
      const angle = ((i + 0.5) / DIRECTIONS) * (Math.PI / 2);
      sum += rawAmplitude(band.order, axisResponse(band, half, frequency * Math.sin(angle)), axisResponse(band, half, frequency * Math.cos(angle))) ** 2;
    }
    return sum / (DIRECTIONS / 2);
  };
  let peak = 0, noise: number | null = null;
  for (let f = PEAK_FROM * band.centre; f < PEAK_TO * band.centre; f += band.centre / 50) peak = Math.max(peak, mean(f));
  const response = {
    power: (frequency: number) => mean(frequency) / peak, scale: 1 / Math.sqrt(peak),
    // Not all who ask for a response ask for this.
    get noiseGain() { return noise ??= noisePower(band, half) / peak; },
  };
  responses.set(key, response);
  return response;
}

/** Mean square of the raw response over all frequencies. */
function noisePower(band: BandPlan, half: Float64Array): number {
  const points = 128, axis = Array.from({ length: points }, (_, i) => axisResponse(band, half, (i + 0.5) / (2 * points)));
  let sum = 0;
  for (let r = 0; r < points; r++) for (let c = 0; c <= r; c++) sum += (c < r ? 2 : 1) * rawAmplitude(band.order, axis[r], axis[c]) ** 2;
  return sum / points ** 2;
}
