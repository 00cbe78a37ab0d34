import { withKernel } from './fast-kernel.js';
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
  const numbers = new Map<number, number>(), block = new Int32Array(tiles.count);
  for (let t = 0; t < tiles.count; t++) {
    const key = blockOf(stack, tiles.tile[t]);
    let number = numbers.get(key);
    if (number === undefined) numbers.set(key, number = numbers.size);
    block[t] = number;
  }
  // The unbiased estimate of a variance from so many blocks.
  const blocks = numbers.size, small = Math.sqrt(blocks > 1 ? blocks / (blocks - 1) : 1);
  return fastMoves(tiles, trace, freeGain, inverse, block, blocks, small) ?? plainMoves(tiles, trace, freeGain, inverse, block, blocks, small);
}

/** @param block of every tile; @param factor to multiply the moves with */
export function plainMoves({ count, frames }: SolveTiles, trace: SolveTrace, freeGain: readonly number[], inverse: Float64Array, block: Int32Array, blocks: number, factor: number): Float64Array[] {
  const n = trace.unknowns, { robust, byZ, byLnAmplitude, residual } = trace.entries!, bands = robust.length, free = freeGain.length;
  const scores = Array.from({ length: blocks }, () => new Float64Array(n));
  for (let t = 0; t < count; t++) {
    const score = scores[block[t]];
    for (let b = 0; b < bands; b++) {
      const weight = robust[b], slope = byZ[b], off = residual[b];
      for (let k = 0, i = t * frames; k < frames; k++, i++) score[k] += weight[i] * slope[i] * off[i];
      for (let f = 0; f < free; f++) { const i = t * frames + freeGain[f]; score[frames + b * free + f] += robust[b][i] * byLnAmplitude[b][i] * residual[b][i]; }
    }
  }
  return scores.map((score) => framesMoved(inverse, score, n, frames).map((v) => factor * v));
}

/** The same in WebAssembly; null where there is none, or no room. */
export function fastMoves({ count, frames }: SolveTiles, trace: SolveTrace, freeGain: readonly number[], inverse: Float64Array, block: Int32Array, blocks: number, factor: number): Float64Array[] | null {
  return withKernel(({ kernel, arena }) => {
    const n = trace.unknowns, { robust, byZ, byLnAmplitude, residual } = trace.entries!, bands = robust.length, values = count * frames, planes = [robust, byZ, byLnAmplitude, residual];
    const planesAt = planes.map(() => arena.take(4 * bands * values)), blockAt = arena.take(4 * count), freeAt = arena.take(4 * freeGain.length), inverseAt = arena.take(8 * inverse.length);
    const scoreAt = arena.take(8 * blocks * n), movesAt = arena.take(8 * blocks * frames), { buffer } = kernel.memory;
    planes.forEach((lines, i) => lines.forEach((line, b) => new Float32Array(buffer, planesAt[i] + 4 * b * values, values).set(line)));
    new Int32Array(buffer, blockAt, count).set(block);
    new Int32Array(buffer, freeAt, freeGain.length).set(freeGain);
    new Float64Array(buffer, inverseAt, inverse.length).set(inverse);
    new Float64Array(buffer, scoreAt, blocks * n).fill(0);
    kernel.blockMoves(planesAt[0], planesAt[1], planesAt[2], planesAt[3], bands, count, frames, blockAt, blocks, freeAt, freeGain.length, inverseAt, factor, scoreAt, movesAt);
    const moves = new Float64Array(buffer, movesAt, blocks * frames).slice();
    return Array.from({ length: blocks }, (_, b) => moves.subarray(b * frames, (b + 1) * frames));
  });
}

/** How a pull on all unknowns moves the frames. */
export function framesMoved(inverse: Float64Array, pull: Float64Array, unknowns: number, frames: number): Float64Array {
  const out = new Float64Array(frames);
  for (let i = 0; i < frames; i++) { let sum = 0; for (let j = 0; j < unknowns; j++) sum += inverse[i * unknowns + j] * pull[j]; out[i] = sum; }
  return out;
}
