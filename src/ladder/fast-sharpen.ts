import { withKernel } from './fast-kernel.js';

/**
 * The iteration of sharpen-spectrum.ts in WebAssembly; null where there is none, or no room.
 *
 * @param from, to radii that each bin sees
 * @param some bins that count
 * @param least what bins must see of a radius to change it
 * @param start where the spectrum starts from; kept
 */
export function fastSharpen(leakage: readonly Float64Array[], from: readonly number[], to: readonly number[], some: readonly number[], measured: ArrayLike<number>, rounds: number, least: number, start: Float64Array): Float64Array | null {
  return withKernel(({ kernel, arena }) => {
    const bins = leakage.length, radii = start.length, leakageAt = arena.take(8 * bins * radii), ringsAt = arena.take(8 * bins), someAt = arena.take(4 * some.length), measuredAt = arena.take(8 * bins), spectrumAt = arena.take(8 * radii);
    const roomAt = arena.take(16 * radii), { buffer } = kernel.memory, rings = new Int32Array(buffer, ringsAt, 2 * bins), spectrum = new Float64Array(buffer, spectrumAt, radii);
    leakage.forEach((line, bin) => { new Float64Array(buffer, leakageAt + 8 * bin * radii, radii).set(line); rings[2 * bin] = from[bin]; rings[2 * bin + 1] = to[bin]; });
    new Int32Array(buffer, someAt, some.length).set(some);
    new Float64Array(buffer, measuredAt, bins).set(measured);
    spectrum.set(start);
    kernel.sharpen(leakageAt, ringsAt, radii, someAt, some.length, measuredAt, rounds, least, spectrumAt, roomAt);
    return spectrum.slice();
  });
}
