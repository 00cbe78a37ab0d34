import { choleskyFactor, choleskyInverse, solveFactored } from '../image/cholesky.js';
import { framesMoved, positionScatter } from './position-scatter.js';
import type { RefinedLadder } from './refine.js';
import { frameTies } from './frame-ties.js';
import type { SolveTiles } from './solve-tiles.js';
import type { TileStack } from './tile-stack.js';

/**
 * Model error common to all tiles, relative to peak amplitude, by band and DOF of defocus, at least; with the next, what the steps of forty rendered stacks are off by. Where the
 * tiles are off together by more than that, as behind a lens whose focus curve is lopsided, that counts.
 */
const SYSTEMATIC = 0.0082;
/** How well the noise of a band is known. */
const NOISE_ERROR = 0.1;
/** Scale error of every step: OTF, wavelength and slope are not known better. */
const SCALE_ERROR = 0.0055;
/**
 * And on steep or rough ground, in proportion to the variance of depth (DOF²) inside the tiles: how it is spread there is known roughly only, and the curve widens with it. Of
 * 1500 steps of rendered stacks those with little spread were off by 1.0 % (root of the mean square), at 0.05 DOF² by 2.1 %, above 0.1 by 3.2 %.
 */
const SPREAD_ERROR = 0.13;
/** And a few frames do not show a curve's width: this over their number squared (three frames of the sample were a third too short). */
const FEW_FRAMES_ERROR = 2;
/** And of a step to a frame placed by tails alone: their 95th percentile on rendered stacks is 17 %. */
const TAILS_SCALE_ERROR = 0.09;
/** A common error shows in what the fit leaves of it; so many times that it is taken to be. Found on rendered stacks behind a lens of half a wave of spherical aberration. */
const TAKEN_UP = 2;
/** Entries that err alike by chance: neighbouring tiles' boxes overlap, and frames a step apart show nearly the same. */
const SHARED_BY = 4;
const BIN_DOF = 1, BINS = 16;
/** Tiles that shared errors are followed through: what they move is an average over all. */
const SHARED_TILES = 1000;
/** A frame with fewer tiles than this within 1.5 DOF has nothing in focus; placed by tails alone. */
const LEAST_NEAR = 20, LEAST_NEAR_SHARE = 0.003, NEAR_DOF = 1.5;

export interface StepUncertainty { sigma: number; tailsOnly: boolean }

export interface LadderUncertainty {
  /** Standard deviation of z_a − z_b, DOF. */
  between(a: number, b: number): StepUncertainty;
  /** Tiles within 1.5 DOF of each frame. */
  near: Int32Array;
}

/**
 * Uncertainties of steps: what chance makes ({@link positionScatter}) plus a systematic part, model errors that all tiles share, pushed through the
 * reduced system.
 */
export function ladderUncertainty(stack: TileStack, tiles: SolveTiles, ladder: RefinedLadder): LadderUncertainty {
  const { trace, state } = ladder, { count, frames } = tiles, n = trace.unknowns;
  const bands = ladder.curves.length, free = (n - frames) / bands, own = 1 + bands;
  const inverse = choleskyInverse(trace.reduced, n);
  const moves = positionScatter(stack, tiles, trace, ladder.freeGain, inverse);
  const ties = frameTies(state).map(({ from, to, spread }) => {
    const pull = new Float64Array(n);
    pull[from] = -1 / spread; pull[to] = 1 / spread;
    return framesMoved(inverse, pull, n, frames);
  });
  const shared = systematicMoves(stack, tiles, ladder, inverse, n, own, free);
  const { near, nearSpread } = tilesNear(state, ladder.tileTrust), least = Math.max(LEAST_NEAR, LEAST_NEAR_SHARE * count);
  return {
    near,
    between(a, b) {
      const step = Math.abs(state.z[a] - state.z[b]);
      const tailsOnly = Math.min(near[a], near[b]) < least;
      const spread = (nearSpread[a] + nearSpread[b]) / Math.max(1, near[a] + near[b]);
      let variance = step ** 2 * ((tailsOnly ? TAILS_SCALE_ERROR : SCALE_ERROR) ** 2 + (FEW_FRAMES_ERROR / frames ** 2) ** 2 + (SPREAD_ERROR * spread) ** 2);
      for (const move of moves) variance += (move[a] - move[b]) ** 2;
      for (const move of ties) variance += (move[a] - move[b]) ** 2;
      for (const move of shared) variance += (move[a] - move[b]) ** 2;
      return { sigma: Math.sqrt(variance), tailsOnly };
    },
  };
}

/** scores −= value · coupling, over n places of both; apart, since so small a function is compiled soon. */
function takeOff(scores: Float64Array, at: number, coupling: ArrayLike<number>, from: number, value: number, n: number): void {
  for (let i = 0; i < n; i++) scores[at + i] -= coupling[from + i] * value;
}

/** Tiles within reach of each frame, and the sum of their depth variances. */
function tilesNear({ z, depth, spread: [spread] }: Pick<RefinedLadder['state'], 'z' | 'depth' | 'spread'>, trust: Float64Array): { near: Int32Array; nearSpread: Float64Array } {
  const near = new Int32Array(z.length), nearSpread = new Float64Array(z.length);
  for (let t = 0; t < depth.length; t++) {
    if (!(trust[t] > 0.2)) continue;
    const here = depth[t], square = spread[t] * spread[t];
    for (let k = 0; k < z.length; k++) if (Math.abs(z[k] - here) < NEAR_DOF) { near[k]++; nearSpread[k] += square; }
  }
  return { near, nearSpread };
}

/** How the frames would move if, in one band and one DOF of defocus, all tiles read that much of their peak too high; or one band's noise were 10 % higher. */
function systematicMoves(stack: TileStack, tiles: SolveTiles, ladder: RefinedLadder, inverse: Float64Array, n: number, own: number, free: number): Float64Array[] {
  const { trace, state } = ladder, { count, frames } = tiles, { coupling, tileNormal, robust, residual, sigma, byZ, byLnAmplitude } = trace.entries!;
  const moves: Float64Array[] = [], patterns = BINS + 1, stride = Math.max(1, Math.floor(count / SHARED_TILES));
  const factors = tileNormal.slice(), right = new Float64Array(own);
  for (let t = 0; t < count; t += stride) {
    const block = factors.subarray(t * own * own, (t + 1) * own * own);
    for (let i = 0; i < own; i++) block[i * own + i] += 1e-6;
    choleskyFactor(block, own);
  }
  const freeSlot = new Int32Array(frames).fill(-1);
  ladder.freeGain.forEach((k, f) => { freeSlot[k] = f; });
  for (let b = 0; b < ladder.curves.length; b++) {
    const scores = new Float64Array(patterns * n), hits = new Int32Array(patterns), touched = new Uint8Array(patterns), tileRight = new Float64Array(patterns * own);
    const common = new Float64Array(BINS), chance = new Float64Array(BINS), commonWeight = new Float64Array(BINS);
    const energy = tiles.energy[b], weights = robust[b], off = residual[b], sigmas = sigma[b], jz = byZ[b], jl = byLnAmplitude[b], noise = stack.noise[b];
    for (let t = 0; t < count; t += stride) {
      const amplitude = Math.exp(state.lnAmplitude[b][t]), readHigh = stride * SYSTEMATIC * amplitude;
      for (let k = 0, i = t * frames; k < frames; k++, i++) {
        const w = weights[i];
        if (w === 0) continue;
        const model = Math.max(1e-9, Math.sqrt(energy[i]) - off[i] * sigmas[i]), bin = Math.floor((state.z[k] - state.depth[t]) / BIN_DOF) + BINS / 2, f = freeSlot[k];
        if (bin >= 0 && bin < BINS) {
          // In shares of the peak, weighted by how well each is known.
          const known = (w * amplitude / sigmas[i]) ** 2, share = (off[i] * sigmas[i]) / amplitude;
          commonWeight[bin] += known;
          common[bin] += known * share;
          chance[bin] += (known * share) ** 2;
        }
        // The noise's pattern comes last; the other is that of the defocus.
        for (let pattern = BINS, error = (stride * NOISE_ERROR * noise[k]) / (2 * model); ; pattern = bin, error = readHigh) {
          const pulled = (w * error) / sigmas[i], byDepth = pulled * jz[i], byAmplitude = pulled * jl[i];
          hits[pattern]++;
          touched[pattern] = 1;
          scores[pattern * n + k] += byDepth;
          tileRight[pattern * own] -= byDepth;
          tileRight[pattern * own + 1 + b] += byAmplitude;
          if (f >= 0) scores[pattern * n + frames + b * free + f] += byAmplitude;
          if (pattern !== BINS || bin < 0 || bin >= BINS) break;
        }
      }
      for (let pattern = 0; pattern < patterns; pattern++) {
        if (!touched[pattern]) continue;
        for (let i = 0; i < own; i++) { right[i] = tileRight[pattern * own + i]; tileRight[pattern * own + i] = 0; }
        touched[pattern] = 0;
        solveFactored(factors, t * own * own, own, right);
        for (let i = 0; i < own; i++) takeOff(scores, pattern * n, coupling, (t * own + i) * n, right[i], n);
      }
    }
    for (let pattern = 0; pattern < patterns; pattern++) {
      if (stride * hits[pattern] < 20) continue;
      const moved = framesMoved(inverse, scores.subarray(pattern * n, (pattern + 1) * n), n, frames);
      if (pattern < BINS) {
        const square = Math.max(0, common[pattern] ** 2 - SHARED_BY * chance[pattern]) / commonWeight[pattern] ** 2, times = Math.hypot(SYSTEMATIC, TAKEN_UP * Math.sqrt(square)) / SYSTEMATIC;
        for (let k = 0; k < frames; k++) moved[k] *= times;
      }
      moves.push(moved);
    }
  }
  return moves;
}
