import { energyAt, type FocusCurve } from './focus-curve.js';
import type { LadderState } from './joint-solve.js';
import { nearestSpread } from './nearest-spread.js';
import type { SolveTiles } from './solve-tiles.js';
import type { TileStack } from './tile-stack.js';

/** Tiles that can be relied on. */
export const LEAST_TRUST = 0.3;
/** Entries this trusted, where the fine curve has this much of its peak's energy left, are near focus and show nothing else. */
export const TRUSTED = 0.5, NEAR_ENERGY = 0.5;

/** Of one frame: ln of the amplitudes of its tiles near focus against what the fit expects, in the finest band and the coarsest; first of `relied` tiles that can be relied on, then of others. */
export interface NearLosses { relied: number; fine: Float64Array; coarse: Float64Array }

/** What each frame lost near focus. Entries where something else is seen are left out. @param settle only tiles that can be relied on count */
export function plainLosses(stack: Pick<TileStack, 'noise'>, tiles: SolveTiles, state: LadderState, curves: readonly FocusCurve[], tileTrust: Float64Array, settle: boolean): NearLosses[] {
  const { frames } = tiles, bands = [0, curves.length - 1], spreads = bands.map((b) => Uint8Array.from(state.spread[b], nearestSpread));
  const entries = inOrder(nearEntries(curves[0], spreads[0], state, tiles.trust, tileTrust, settle), frames, tileTrust);
  const [fine, coarse] = bands.map((b, i) => lossesOf(entries.place, frames, curves[b], spreads[i], state, b, tiles.energy[b], stack.noise[b]));
  return Array.from({ length: frames }, (_, k) => ({ relied: entries.relied[k], fine: fine.subarray(entries.start[k], entries.start[k + 1]), coarse: coarse.subarray(entries.start[k], entries.start[k + 1]) }));
}

// Loops over the tiles, each a function of its own: they run a few times only, and the smaller a function the sooner it is compiled.

/** Entries (tile · frames + frame) near focus in which nothing else is seen. */
function nearEntries(fine: FocusCurve, spread: Uint8Array, { z, depth }: LadderState, trust: Float32Array, tileTrust: Float64Array, settle: boolean): Int32Array {
  const found = new Int32Array(trust.length), frames = z.length;
  let n = 0;
  for (let t = 0, i = 0; t < depth.length; t++) {
    if (settle && !(tileTrust[t] > LEAST_TRUST)) { i += frames; continue; }
    for (let k = 0; k < frames; k++, i++) {
      const delta = z[k] - depth[t];
      if (Math.abs(delta) <= fine.reach && trust[i] > TRUSTED && energyAt(fine, spread[t], delta) > NEAR_ENERGY) found[n++] = i;
    }
  }
  return found.subarray(0, n);
}

/** Frame by frame, those of tiles that can be relied on first. */
function inOrder(entries: Int32Array, frames: number, tileTrust: Float64Array): { place: Int32Array; start: Int32Array; relied: Int32Array } {
  const counts = new Int32Array(2 * frames), next = new Int32Array(2 * frames), place = new Int32Array(entries.length), start = new Int32Array(frames + 1);
  const groupOf = (entry: number): number => { const t = Math.floor(entry / frames); return 2 * (entry - t * frames) + (tileTrust[t] > LEAST_TRUST ? 0 : 1); };
  for (let n = 0; n < entries.length; n++) counts[groupOf(entries[n])]++;
  for (let g = 1; g < next.length; g++) next[g] = next[g - 1] + counts[g - 1];
  for (let k = 0; k < frames; k++) start[k] = next[2 * k];
  start[frames] = entries.length;
  for (let n = 0; n < entries.length; n++) place[next[groupOf(entries[n])]++] = entries[n];
  return { place, start, relied: counts.filter((_, g) => g % 2 === 0) };
}

/** ln of each entry's amplitude against what the fit expects. */
function lossesOf(entries: Int32Array, frames: number, curve: FocusCurve, spread: Uint8Array, { z, depth, bend, lnAmplitude }: LadderState, b: number, energy: Float32Array, noise: Float64Array): Float64Array {
  const out = new Float64Array(entries.length), bends = bend[b], own = lnAmplitude[b].map((v) => Math.exp(2 * v));
  for (let n = 0; n < entries.length; n++) {
    const i = entries[n], t = Math.floor(i / frames), k = i - t * frames;
    out[n] = 0.5 * Math.log(energy[i] / (own[t] * energyAt(curve, spread[t], z[k] - depth[t] - bends[t]) + noise[k]));
  }
  return out;
}
