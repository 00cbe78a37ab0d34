import { withKernel } from '../ladder/fast-kernel.js';
import type { StackPicture } from './stack-picture.js';

/** Bands of fine and middle detail. */
const BANDS = [0, 1];

/** Squared differences of amplitudes from a constant and from the fit, over all tiles by their weights. */
interface Left { constant: number; fitted: number }

/** How much of the tiles' change in fine and middle detail over the frames the fitted focus curves explain: 1 all, 0 no more than a constant would. */
export function explainedShare(picture: Pick<StackPicture, 'ladder' | 'stack'>): number {
  const { constant, fitted } = fastLeft(picture) ?? plainLeft(picture);
  return constant > 0 ? 1 - fitted / constant : 0;
}

/** Squared in-focus amplitudes. */
const peaks = (lnAmplitude: Float64Array): Float64Array => lnAmplitude.map((v) => Math.exp(2 * v));

function plainLeft({ ladder, stack }: Pick<StackPicture, 'ladder' | 'stack'>): Left {
  const { tiles, trace } = ladder, { frames } = tiles, { robust, residual, sigma } = trace.entries!;
  let constant = 0, fitted = 0;
  for (const b of BANDS) {
    const weights = tiles.weight[b], peak = peaks(ladder.state.lnAmplitude[b]);
    for (let t = 0; t < tiles.count; t++) {
      const from = t * frames;
      constant += weights[t] * aboutMean(tiles.energy[b], robust[b], from, frames);
      fitted += weights[t] * leftByFit(residual[b], sigma[b], robust[b], from, peak[t], stack.noise[b]);
    }
  }
  return { constant, fitted };
}

/** The same in WebAssembly; null where there is none, or no room. */
function fastLeft({ ladder, stack }: Pick<StackPicture, 'ladder' | 'stack'>): Left | null {
  const { tiles: { count, frames, energy, weight }, trace } = ladder, { robust, residual, sigma } = trace.entries!;
  return withKernel(({ kernel, arena }) => {
    const planesAt = [0, 1, 2, 3].map(() => arena.take(4 * count * frames)), weightAt = arena.take(8 * count), peakAt = arena.take(8 * count), noiseAt = arena.take(8 * frames), sumsAt = arena.take(16), { buffer } = kernel.memory;
    const sums = new Float64Array(buffer, sumsAt, 2).fill(0);
    for (const b of BANDS) {
      [energy[b], robust[b], residual[b], sigma[b]].forEach((plane, i) => new Float32Array(buffer, planesAt[i], count * frames).set(plane));
      new Float64Array(buffer, weightAt, count).set(weight[b]);
      new Float64Array(buffer, peakAt, count).set(peaks(ladder.state.lnAmplitude[b]));
      new Float64Array(buffer, noiseAt, frames).set(stack.noise[b]);
      kernel.addExplained(planesAt[0], planesAt[1], planesAt[2], planesAt[3], count, frames, weightAt, peakAt, noiseAt, sumsAt);
    }
    return { constant: sums[0], fitted: sums[1] };
  });
}

// Entries out of reach carry no weight in the fit, and their residuals are not kept.

/** Squared differences of a tile's amplitudes from their mean. */
function aboutMean(energy: Float32Array, robust: Float32Array, from: number, frames: number): number {
  let mean = 0, sum = 0;
  for (let i = from; i < from + frames; i++) mean += Math.sqrt(energy[i]);
  mean /= frames;
  for (let i = from; i < from + frames; i++) if (robust[i] !== 0) sum += (Math.sqrt(energy[i]) - mean) ** 2;
  return sum;
}

/** And from the fitted curve, each no more than if the fit showed nothing there. */
function leftByFit(residual: Float32Array, sigma: Float32Array, robust: Float32Array, from: number, peak: number, noise: Float64Array): number {
  let sum = 0;
  for (let k = 0, i = from; k < noise.length; k++, i++) if (robust[i] !== 0) sum += Math.min((residual[i] * sigma[i]) ** 2, peak + noise[k]);
  return sum;
}
