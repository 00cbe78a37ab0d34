import { withKernel } from './fast-kernel.js';
import { SPREADS, type FocusCurve } from './focus-curve.js';
import type { LadderState } from './joint-solve.js';
import { DEFOCUS_COUNT, DEFOCUS_STEP } from './otf-table.js';
import { LEAST_TRUST, NEAR_ENERGY, TRUSTED, type NearLosses } from './plain-losses.js';
import type { SolveTiles } from './solve-tiles.js';
import type { TileStack } from './tile-stack.js';

/** plainLosses by WebAssembly; null where there is none, or no room. */
export function fastLosses(stack: Pick<TileStack, 'noise'>, { count, frames, energy, trust }: SolveTiles, state: LadderState, curves: readonly FocusCurve[], tileTrust: Float64Array, settle: boolean): NearLosses[] | null {
  return withKernel(({ kernel, arena }) => {
    const bands = [0, curves.length - 1];
    // Fields of nearRatios' job in simd/assembly/solve-entries.ts, in its order.
    const doubles: ArrayLike<number>[] = [SPREADS, state.z, state.depth, tileTrust], singles: Float32Array[] = [trust];
    const commonAt = [...doubles.map((list) => arena.take(8 * list.length)), arena.take(4 * trust.length)], fields = [count, frames, DEFOCUS_COUNT, SPREADS.length, ...commonAt], doublesAt = commonAt.slice(0, -1), singlesAt = commonAt.slice(-1);
    for (const b of bands) {
      const own = [curves[b].energy, state.spread[b], state.bend[b], state.lnAmplitude[b].map((v) => Math.exp(2 * v))], ownAt = own.map((list) => arena.take(8 * list.length)), energyAt = arena.take(4 * energy[b].length), noiseAt = arena.take(8 * frames);
      doubles.push(...own, stack.noise[b]);
      doublesAt.push(...ownAt, noiseAt);
      singles.push(energy[b]);
      singlesAt.push(energyAt);
      fields.push(...ownAt, energyAt, noiseAt);
    }
    const countsAt = arena.take(8 * frames), ratiosAt = bands.map(() => arena.take(8 * frames * count)), job = arena.take(4 * (fields.length + 3)), { buffer } = kernel.memory;
    doubles.forEach((list, i) => new Float64Array(buffer, doublesAt[i], list.length).set(list));
    singles.forEach((list, i) => new Float32Array(buffer, singlesAt[i], list.length).set(list));
    new Int32Array(buffer, job, fields.length + 3).set([...fields, countsAt, ...ratiosAt]);
    kernel.nearRatios(job, DEFOCUS_STEP, curves[0].reach, LEAST_TRUST, TRUSTED, NEAR_ENERGY, settle);
    const counts = new Int32Array(buffer, countsAt, 2 * frames), [fine, coarse] = ratiosAt.map((at) => new Float64Array(buffer, at, frames * count));
    return Array.from({ length: frames }, (_, k) => {
      const relied = counts[2 * k], others = counts[2 * k + 1];
      return { relied, fine: halfLn(fine, k * count, count, relied, others), coarse: halfLn(coarse, k * count, count, relied, others) };
    });
  });
}

/** Of a frame's ratios: those from the front, then those from the end. */
function halfLn(ratios: Float64Array, from: number, count: number, front: number, back: number): Float64Array {
  const out = new Float64Array(front + back);
  for (let n = 0; n < front; n++) out[n] = 0.5 * Math.log(ratios[from + n]);
  for (let n = 0; n < back; n++) out[front + n] = 0.5 * Math.log(ratios[from + count - 1 - n]);
  return out;
}
