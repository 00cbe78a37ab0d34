import { withKernel } from './fast-kernel.js';

/** What a band gathers at each defocus, its kinship with that in focus, and the kinship in focus. */
export interface CurveSums { sharp: Float64Array; kinship: Float64Array; own: number }
/** Weights of depths inside a tile on every `stride`-th place of the defocus grid: the middle and one side. */
export interface SpreadKernel { weight: Float64Array; stride: number }

/** plainSquares of otf-table.ts in SIMD WebAssembly; null where there is none, or no room. @param shares, twices line × node, a multiple of four nodes */
export function fastSquares(shares: Float64Array, twices: Float64Array, lines: number, count: number): Float64Array | null {
  return withKernel(({ kernel, arena }) => {
    const sharesAt = arena.take(8 * shares.length), twicesAt = arena.take(8 * twices.length), outAt = arena.take(8 * lines * count), { buffer } = kernel.memory;
    new Float64Array(buffer, sharesAt, shares.length).set(shares);
    new Float64Array(buffer, twicesAt, twices.length).set(twices);
    kernel.otfSquares(sharesAt, twicesAt, lines, shares.length / lines, count, outAt);
    return new Float64Array(buffer, outAt, lines * count).slice();
  });
}

/** plainCurveSums of focus-curve.ts in SIMD WebAssembly; null where there is none, or no room. @param count defocuses */
export function fastCurveSums(squared: Float64Array, s: Float64Array, weights: Float64Array, count: number): CurveSums | null {
  return withKernel(({ kernel, arena }) => {
    const frequencies = s.length, squaredAt = arena.take(8 * squared.length), sAt = arena.take(8 * frequencies), weightsAt = arena.take(8 * frequencies), sharpAt = arena.take(8 * (count + 1)), kinshipAt = arena.take(8 * (count + 1));
    const { buffer } = kernel.memory;
    new Float64Array(buffer, squaredAt, squared.length).set(squared);
    new Float64Array(buffer, sAt, frequencies).set(s);
    new Float64Array(buffer, weightsAt, frequencies).set(weights);
    const own = kernel.curveSums(squaredAt, sAt, weightsAt, frequencies, count, sharpAt, kinshipAt);
    return { sharp: new Float64Array(buffer, sharpAt, count).slice(), kinship: new Float64Array(buffer, kinshipAt, count).slice(), own };
  });
}

/** A curve spread out by each kernel (null: left as it is), one after the other; null where there is no WebAssembly, or no room. */
export function fastSpreads(curve: Float64Array, kernels: readonly (SpreadKernel | null)[]): Float64Array | null {
  return withKernel(({ kernel, arena }) => {
    const count = curve.length, reaches = kernels.map((one) => (one ? one.weight.length - 1 : 0)), widest = Math.max(...kernels.map((one, i) => (one ? reaches[i] * one.stride : 0)));
    const curveAt = arena.take(8 * count), weightAt = arena.take(8 * (Math.max(...reaches) + 1)), roomAt = arena.take(8 * (count + 2 * widest + 3)), outAt = arena.take(8 * (kernels.length * count + 1)), { buffer } = kernel.memory;
    new Float64Array(buffer, curveAt, count).set(curve);
    const out = new Float64Array(buffer, outAt, kernels.length * count);
    kernels.forEach((one, i) => {
      if (!one) { out.set(curve, i * count); return; }
      new Float64Array(buffer, weightAt, one.weight.length).set(one.weight);
      kernel.spreadOut(curveAt, count, weightAt, reaches[i], one.stride, roomAt, outAt + 8 * i * count);
    });
    return out.slice();
  });
}
