import { withKernel } from './fast-kernel.js';
import { expectedEnergy, SPREADS, type FocusCurve } from './focus-curve.js';
import type { LadderState } from './joint-solve.js';
import type { LocalEnergy } from './local-energy.js';
import { nearestSpread } from './nearest-spread.js';
import { DEFOCUS_COUNT, DEFOCUS_STEP } from './otf-table.js';
import type { SolveTiles } from './solve-tiles.js';
import { median, quantile } from './statistics.js';
import type { TileStack } from './tile-stack.js';

/** Entries that a band's noise is taken from, for a tile of the solve; with fewer it follows the next finer band's colour. */
const LEAST_FAR_ENTRIES = 0.24, LEAST_OF_ALL = 150, MOST_NEEDED = 600;
/** Weak entries beyond this multiple of a band's reach hold noise alone. */
const FAR = 1.1;
/** Tiles that can be relied on, entries that show nothing else, and the share of the entries that are called weak. */
const LEAST_TRUST = 0.3, TRUSTED = 0.5, WEAK_SHARE = 0.33;
/** The noise is never taken for more or less than this many times what it was. */
const MOST_FACTOR = 4, LEAST_FACTOR = 0.4;

type NoiseStack = Pick<TileStack, 'noise' | 'components'>;
type FarNoise = (stack: NoiseStack, tiles: SolveTiles, state: LadderState, curve: FocusCurve, b: number, tileTrust: Float64Array, local: LocalEnergy) => number | null;

/** What a band's noise is to be multiplied with, by weak entries that the model says are out of reach; null: too few of them. */
export const farNoise: FarNoise = (...asked) => {
  const ratio = fastRatio(...asked) ?? plainRatio(...asked);
  return Number.isNaN(ratio) ? null : Math.min(MOST_FACTOR, Math.max(LEAST_FACTOR, ratio));
};

const leastEntries = (count: number): number => Math.min(MOST_NEEDED, Math.max(LEAST_OF_ALL, LEAST_FAR_ENTRIES * count));
/** Median of a mean of squares against its mean (Wilson & Hilferty 1931). */
const shapeOf = ({ components }: NoiseStack, b: number): number => (1 - 2 / (9 * Math.max(components[b], 2))) ** 3;

/** Median of the weak entries' energies over the noise; NaN: too few entries. */
export const plainRatio = (...[stack, tiles, state, curve, b, tileTrust, local]: Parameters<FarNoise>): number => {
  const { ratio, strength } = farEntries(stack, tiles, state, curve, b, tileTrust, local);
  if (ratio.length < leastEntries(tiles.count)) return NaN;
  const weak = quantile(strength, WEAK_SHARE);
  return median(ratio.filter((_, i) => strength[i] <= weak));
};

/** The same in WebAssembly; null where there is none, or no room. */
export const fastRatio: FarNoise = (stack, { count, frames, energy, trust }, state, curve, b, tileTrust, local) => withKernel(({ kernel, arena }) => {
  const doubles: ArrayLike<number>[] = [SPREADS, curve.energy, curve.kinship, state.z, state.depth, state.bend[b], state.spread[b], state.lnAmplitude[b].map((v) => Math.exp(2 * v)), local.energy[b], tileTrust, stack.noise[b]], singles = [energy[b], trust];
  const doublesAt = doubles.map((list) => arena.take(8 * list.length)), singlesAt = singles.map((list) => arena.take(4 * list.length)), roomAt = arena.take(24 * count * frames);
  // Fields of farRatio's job in simd/assembly/solve-entries.ts, in its order.
  const fields = [count, frames, DEFOCUS_COUNT, SPREADS.length, ...doublesAt, ...singlesAt, roomAt], job = arena.take(4 * fields.length), { buffer } = kernel.memory;
  doubles.forEach((list, i) => new Float64Array(buffer, doublesAt[i], list.length).set(list));
  singles.forEach((list, i) => new Float32Array(buffer, singlesAt[i], list.length).set(list));
  new Int32Array(buffer, job, fields.length).set(fields);
  return kernel.farRatio(job, DEFOCUS_STEP, FAR * curve.reach, local.chance[b], shapeOf(stack, b), LEAST_TRUST, TRUSTED, WEAK_SHARE, leastEntries(count));
});

/** Of entries out of reach: what is measured beyond what the model expects there, over the noise, and how strong the tile is in focus over it. */
function farEntries(stack: NoiseStack, tiles: SolveTiles, state: LadderState, curve: FocusCurve, b: number, tileTrust: Float64Array, local: LocalEnergy): { ratio: Float64Array; strength: Float64Array } {
  const { count, frames, trust } = tiles, { z, depth } = state, ratio = new Float64Array(count * frames), strength = new Float64Array(count * frames), read = tiles.energy[b], noise = stack.noise[b], chance = local.chance[b];
  const shape = shapeOf(stack, b), far = FAR * curve.reach;
  let n = 0;
  for (let t = 0; t < count; t++) {
    if (tileTrust[t] <= LEAST_TRUST) continue;
    const energy = Math.exp(2 * state.lnAmplitude[b][t]), s = nearestSpread(state.spread[b][t]), middle = depth[t] + state.bend[b][t], around = local.energy[b][t];
    for (let k = 0, i = t * frames; k < frames; k++, i++) {
      const delta = z[k] - middle;
      if ((delta <= far && delta >= -far) || trust[i] <= TRUSTED) continue;
      ratio[n] = read[i] / noise[k] / shape - expectedEnergy(curve, s, delta, energy, around, chance) / noise[k];
      strength[n++] = energy / noise[k];
    }
  }
  return { ratio: ratio.subarray(0, n), strength: strength.subarray(0, n) };
}
