import { choleskyFactor, choleskyInverse } from '../image/cholesky.js';
import { fastSharedSums } from './fast-shared-sums.js';
import { plainSharedSums } from './plain-shared-sums.js';
import type { LadderState } from './joint-solve.js';
import { framesMoved } from './position-scatter.js';
import type { RefinedLadder } from './refine.js';
import type { SolveTiles } from './solve-tiles.js';
import type { TileStack } from './tile-stack.js';
import { NEAR_DOF } from './uncertainty.js';

/** Entries that err alike by chance: neighbouring tiles' boxes overlap, and frames a step apart show nearly the same. */
const SHARED_BY = 2;
/**
 * Curves that are wider than the lens's and steps that are longer look the same: of what the fit makes of the whole ladder's scale so much is not believed. Found on rendered stacks:
 * rough subjects come nearer the truth by it, by .5 % on average, flat targets go as far from it.
 */
const STRETCH_DOUBTED = 0.5;

export interface SharedErrors {
  /** How far each frame stands from where it would without them, DOF: to be added to the solved positions. */
  correction: Float64Array;
  /** What stays uncertain of them: independent moves of all frames, DOF. */
  moves: Float64Array[];
}

/**
 * Errors that all tiles share, fitted to what the settled solve leaves: what frames in the middle of the ladder, seen by tiles on both sides of them, show of a band at some
 * defocus holds for the first and the last as well, which far tiles would else push outward. A linear step from the solve (Gauss & Newton), all unknowns eliminated in turn.
 *
 * @param inverse of the trace's reduced normal matrix; the trace holds every entry
 */
export function sharedErrors(stack: Pick<TileStack, 'noise'>, tiles: SolveTiles, ladder: Pick<RefinedLadder, 'trace' | 'state' | 'freeGain'>, inverse: Float64Array): SharedErrors {
  const n = ladder.trace.unknowns, { frames } = tiles, { normal, coupling, right } = fastSharedSums(stack, tiles, ladder) ?? plainSharedSums(stack, tiles, ladder), patterns = right.length;
  const pulled = Array.from({ length: patterns }, (_, p) => framesMoved(inverse, coupling.subarray(p * n, (p + 1) * n), n, n));
  for (let p = 0; p < patterns; p++) for (let q = 0; q < patterns; q++) {
    let taken = 0;
    for (let s = 0; s < n; s++) taken += coupling[p * n + s] * pulled[q][s];
    normal[p * patterns + q] = (normal[p * patterns + q] - taken) / SHARED_BY + (p === q ? 1 : 0);
  }
  const covariance = choleskyInverse(normal, patterns), correction = new Float64Array(frames);
  const found = framesMoved(covariance, right.map((v) => v / SHARED_BY), patterns, patterns);
  const moveBy = (out: Float64Array, p: number, share: number): void => { for (let k = 0; k < frames; k++) out[k] -= share * pulled[p][k]; };
  found.forEach((share, p) => moveBy(correction, p, share));
  takeOffScale(correction, ladder.state);
  choleskyFactor(covariance, patterns);
  const moves = pulled.map((_, q) => {
    const move = new Float64Array(frames);
    for (let p = q; p < patterns; p++) moveBy(move, p, covariance[p * patterns + q]);
    return move;
  });
  return { correction, moves };
}

/** Takes off half of what stretches the whole ladder, by least squares over the frames, each counted by the tiles near its focus. */
function takeOffScale(correction: Float64Array, { z, depth }: Pick<LadderState, 'z' | 'depth'>): void {
  const weight = Array.from(z, (at) => depth.reduce((near, d) => near + (Math.abs(at - d) < NEAR_DOF ? 1 : 0), 0)), all = weight.reduce((sum, w) => sum + w, 0);
  const middle = z.reduce((sum, v, k) => sum + weight[k] * v, 0) / all, mean = correction.reduce((sum, v, k) => sum + weight[k] * v, 0) / all;
  const square = z.reduce((sum, v, k) => sum + weight[k] * (v - middle) ** 2, 0), stretch = z.reduce((sum, v, k) => sum + weight[k] * (v - middle) * (correction[k] - mean), 0) / square;
  if (square > 0) z.forEach((v, k) => { correction[k] -= STRETCH_DOUBTED * stretch * (v - middle); });
}
