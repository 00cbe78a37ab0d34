import { blockOf } from './refine.js';
import type { SolveTrace } from './joint-solve.js';
import type { SolveTiles } from './solve-tiles.js';
import type { TileStack } from './tile-stack.js';

/**
 * The part of the positions' covariance that chance makes: the sandwich estimate (Huber 1967; White 1980), tiles clustered in blocks of 8 × 8 because
 * neighbours share their errors.
 *
 * @param inverse of the trace's reduced normal matrix; the trace holds every entry
 * @param freeGain frames whose gain was free
 * @returns one move of all frames a block, DOF; the covariance of positions a and b is the sum of move[a]·move[b]
 */
export function positionScatter(stack: Pick<TileStack, 'gridColumns'>, tiles: SolveTiles, trace: SolveTrace, freeGain: readonly number[], inverse: Float64Array): Float64Array[] {
  const { count, frames } = tiles, n = trace.unknowns, { robust, byZ, byLnAmplitude, residual } = trace.entries!;
  const bands = robust.length, free = freeGain.length;
  const blocks = new Map<number, Float64Array>();
  for (let t = 0; t < count; t++) {
    const key = blockOf(stack, tiles.tile[t]);
    let score = blocks.get(key);
    if (!score) blocks.set(key, score = new Float64Array(n));
    for (let b = 0; b < bands; b++) {
      const weight = robust[b], slope = byZ[b], off = residual[b];
      for (let k = 0, i = t * frames; k < frames; k++, i++) score[k] += weight[i] * slope[i] * off[i];
      for (let f = 0; f < free; f++) { const i = t * frames + freeGain[f]; score[frames + b * free + f] += robust[b][i] * byLnAmplitude[b][i] * residual[b][i]; }
    }
  }
  // The unbiased estimate of a variance from so many blocks.
  const small = Math.sqrt(blocks.size > 1 ? blocks.size / (blocks.size - 1) : 1);
  return [...blocks.values()].map((score) => framesMoved(inverse, score, n, frames).map((v) => small * v));
}

/** How a pull on all unknowns moves the frames. */
export function framesMoved(inverse: Float64Array, pull: Float64Array, unknowns: number, frames: number): Float64Array {
  const out = new Float64Array(frames);
  for (let i = 0; i < frames; i++) { let sum = 0; for (let j = 0; j < unknowns; j++) sum += inverse[i * unknowns + j] * pull[j]; out[i] = sum; }
  return out;
}
