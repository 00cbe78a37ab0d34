import { withKernel } from './fast-kernel.js';

/** Amplitudes of tiles and 1/variance of each tile's, as solve-tiles.ts takes them, in WebAssembly; null where there is none, or no room. */
export function fastAmplitudes(energy: Float32Array, count: number, frames: number, noise: Float64Array, least: number, modelSquare: number): { amplitude: Float32Array; weight: Float64Array } | null {
  return withKernel(({ kernel, arena }) => {
    const energyAt = arena.take(4 * count * frames), noiseAt = arena.take(8 * frames), amplitudeAt = arena.take(4 * count * frames), weightAt = arena.take(8 * count), { buffer } = kernel.memory;
    new Float32Array(buffer, energyAt, count * frames).set(energy);
    new Float64Array(buffer, noiseAt, frames).set(noise);
    kernel.takeAmplitudes(energyAt, 0, 0, count, frames, noiseAt, least, modelSquare, amplitudeAt, weightAt);
    return { amplitude: new Float32Array(buffer, amplitudeAt, count * frames).slice(), weight: new Float64Array(buffer, weightAt, count).slice() };
  });
}
