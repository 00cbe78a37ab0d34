import { Matrix, solve } from 'ml-matrix';
import { afterEach, describe, expect, it } from 'vitest';
import { choleskyInverse } from '../../src/image/cholesky.js';
import { useLadderKernel } from '../../src/ladder/fast-kernel.js';
import { fastSharedSums } from '../../src/ladder/fast-shared-sums.js';
import { BIN_DOF, BINS, CURVE_ERROR, NOISE_ERROR, plainSharedSums, WHISPER } from '../../src/ladder/plain-shared-sums.js';
import { sharedErrors } from '../../src/ladder/shared-errors.js';
import type { RefinedLadder } from '../../src/ladder/refine.js';
import type { SolveTiles } from '../../src/ladder/solve-tiles.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import { builtKernel, expectAlike } from '../helpers/plain-and-fast.js';

const COUNT = 23, FRAMES = 7, BANDS = 2, OWN = 1 + BANDS, EACH = BINS + 1, PATTERNS = BANDS * EACH, FREE = [2];
const UNKNOWNS = FRAMES + BANDS * FREE.length;
/** Entries that err alike by chance, as the module has it. */
const SHARED_BY = 2;

/** A settled solve as if it were: random entries, of which some take no part, and the normal equations that follow from them. Frames reach beyond the bins on either side. */
function solveOfChance(seed: number): { stack: { noise: Float64Array[] }; tiles: SolveTiles; ladder: RefinedLadder } {
  const random = randomFrom(seed), some = (): Float32Array[] => Array.from({ length: BANDS }, () => Float32Array.from({ length: COUNT * FRAMES }, () => random() - 0.5));
  const [byZ, byLnAmplitude, residual] = [some(), some(), some()], robust = some().map((line) => line.map((v) => Math.max(0, v + 0.3))), sigma = some().map((line) => line.map((v) => 0.1 + Math.abs(v)));
  const energy = some().map((line, b) => line.map((v, i) => ((residual[b][i] * sigma[b][i] > 0 ? residual[b][i] * sigma[b][i] : 0) + 0.5 + Math.abs(v)) ** 2));
  const state = {
    z: Float64Array.from({ length: FRAMES }, (_, k) => 3 * k), depth: Float64Array.from({ length: COUNT }, () => 18 * random()), gain: new Float64Array(BANDS * FRAMES),
    lnAmplitude: Array.from({ length: BANDS }, () => Float64Array.from({ length: COUNT }, random)), spread: [], bend: [],
  };
  const { coupling, tileNormal, frames } = normalEquations(byZ, byLnAmplitude, robust);
  const noise = Array.from({ length: BANDS }, () => Float64Array.from({ length: FRAMES }, () => 0.1 + random()));
  const trace = { unknowns: UNKNOWNS, reduced: reducedOf(frames, coupling, tileNormal), misfit: new Float64Array(COUNT), depthVariance: new Float64Array(COUNT), cost: 0, entries: { residual, robust, byZ, byLnAmplitude, sigma, coupling, tileNormal } };
  return { stack: { noise }, tiles: { count: COUNT, frames: FRAMES, energy } as SolveTiles, ladder: { trace, state, freeGain: FREE } as unknown as RefinedLadder };
}

/** What an entry of band b, tile t and frame k depends on: places among [frames and gains | tiles' own] with the derivative of the model there, in sigmas. */
function dependsOn(byZ: Float32Array[], byLn: Float32Array[], b: number, t: number, k: number): [number, number][] {
  const i = t * FRAMES + k, gain = FREE.indexOf(k), own = UNKNOWNS + t * OWN;
  return [[k, byZ[b][i]], ...(gain < 0 ? [] : [[FRAMES + b * FREE.length + gain, byLn[b][i]] as [number, number]]), [own, -byZ[b][i]], [own + 1 + b, byLn[b][i]]];
}

function normalEquations(byZ: Float32Array[], byLn: Float32Array[], robust: Float32Array[]): { frames: Matrix; coupling: Float64Array; tileNormal: Float64Array } {
  const all = Matrix.zeros(UNKNOWNS + COUNT * OWN, UNKNOWNS + COUNT * OWN), coupling = new Float64Array(COUNT * OWN * UNKNOWNS), tileNormal = new Float64Array(COUNT * OWN * OWN);
  for (let b = 0; b < BANDS; b++) for (let t = 0; t < COUNT; t++) for (let k = 0; k < FRAMES; k++) {
    const parts = dependsOn(byZ, byLn, b, t, k), w = robust[b][t * FRAMES + k];
    for (const [p, x] of parts) for (const [q, y] of parts) all.set(p, q, all.get(p, q) + w * x * y);
  }
  for (let t = 0; t < COUNT; t++) for (let i = 0; i < OWN; i++) {
    const row = UNKNOWNS + t * OWN + i;
    for (let s = 0; s < UNKNOWNS; s++) coupling[(t * OWN + i) * UNKNOWNS + s] = all.get(row, s);
    for (let j = 0; j < OWN; j++) tileNormal[(t * OWN + i) * OWN + j] = all.get(row, UNKNOWNS + t * OWN + j);
  }
  return { frames: all.subMatrix(0, UNKNOWNS - 1, 0, UNKNOWNS - 1), coupling, tileNormal };
}

/** The frames' system with the tiles eliminated, by a library. A tie holds what no entry does: all frames and tiles together may be moved. */
function reducedOf(frames: Matrix, coupling: Float64Array, tileNormal: Float64Array): Float64Array {
  const out = Matrix.add(frames, Matrix.eye(UNKNOWNS, UNKNOWNS).mul(TIE));
  for (let t = 0; t < COUNT; t++) {
    const own = new Matrix(Array.from({ length: OWN }, (_, i) => Array.from({ length: OWN }, (_, j) => tileNormal[(t * OWN + i) * OWN + j] + (i === j ? WHISPER : 0))));
    const across = new Matrix(Array.from({ length: OWN }, (_, i) => Array.from(coupling.subarray((t * OWN + i) * UNKNOWNS, (t * OWN + i + 1) * UNKNOWNS))));
    out.sub(across.transpose().mmul(solve(own, across)));
  }
  return Float64Array.from(out.to1DArray());
}
const TIE = 0.05;

/**
 * The same least squares written out whole: frames, gains, every tile's own unknowns and the shared errors in one matrix, solved by ml-matrix. What the data say of the frames and tiles
 * alone is left out of the right side, as a settled solve has it.
 */
function writtenOut({ stack, tiles, ladder }: ReturnType<typeof solveOfChance>): number[] {
  const { byZ, byLnAmplitude, residual, robust, sigma } = ladder.trace.entries!, size = UNKNOWNS + COUNT * OWN + PATTERNS, first = size - PATTERNS;
  const all = Matrix.zeros(size, size), right = Matrix.zeros(size, 1);
  for (let b = 0; b < BANDS; b++) for (let t = 0; t < COUNT; t++) for (let k = 0; k < FRAMES; k++) {
    const i = t * FRAMES + k, w = robust[b][i], parts = dependsOn(byZ, byLnAmplitude, b, t, k), model = Math.sqrt(tiles.energy[b][i]) - residual[b][i] * sigma[b][i];
    const defocus = ladder.state.z[k] - ladder.state.depth[t], bin = Math.floor(defocus / BIN_DOF) + BINS / 2;
    if (bin >= 0 && bin < BINS) parts.push([first + b * EACH + bin, (CURVE_ERROR * Math.exp(ladder.state.lnAmplitude[b][t])) / sigma[b][i]]);
    parts.push([first + b * EACH + BINS, (NOISE_ERROR * stack.noise[b][k]) / (2 * model * sigma[b][i])]);
    for (const [p, x] of parts) {
      for (const [q, y] of parts) all.set(p, q, all.get(p, q) + w * x * y);
      if (p >= first) right.set(p, 0, right.get(p, 0) + w * x * residual[b][i]);
    }
  }
  for (let p = 0; p < size; p++) all.set(p, p, all.get(p, p) + (p >= first ? SHARED_BY : p < UNKNOWNS ? TIE : WHISPER));
  return halfStretched(solve(all, right).to1DArray().slice(0, FRAMES), ladder);
}

/** Frames' moves with half of what stretches all of them: its slope is that of a weighted straight line through them (ml-matrix again). */
function halfStretched(moves: number[], { state }: RefinedLadder): number[] {
  const near = Array.from(state.z, (z) => Math.sqrt(Array.from(state.depth).filter((d) => Math.abs(z - d) < 1.5).length));
  const line = solve(new Matrix(near.map((w, k) => [w, w * state.z[k]])), Matrix.columnVector(moves.map((v, k) => near[k] * v)), true).to1DArray(), middle = near.reduce((sum, w, k) => sum + w * w * state.z[k], 0) / near.reduce((sum, w) => sum + w * w, 0);
  return moves.map((v, k) => v - 0.5 * line[1] * (state.z[k] - middle));
}

afterEach(() => useLadderKernel(null));

describe('sharedErrors', () => {
  it('moves the frames as the whole least squares does that knows the shared errors as unknowns (ml-matrix)', () => {
    for (const seed of [1, 2, 3]) {
      const chance = solveOfChance(seed), { correction } = sharedErrors(chance.stack, chance.tiles, chance.ladder, choleskyInverse(chance.ladder.trace.reduced, UNKNOWNS)), expected = writtenOut(chance);
      expect(Math.max(...correction.map(Math.abs))).toBeGreaterThan(1e-3);
      // 1e-6: the inverse is taken with a billionth of its trace added.
      expected.forEach((v, k) => expect(Math.abs(correction[k] - v)).toBeLessThan(1e-6 * (1 + Math.abs(v))));
    }
  });

  it('says as much of what stays uncertain as is expected of the errors where the frames show nothing of them', () => {
    const chance = solveOfChance(4), { trace } = chance.ladder, nothing = { ...chance.ladder, trace: { ...trace, entries: { ...trace.entries!, robust: trace.entries!.robust.map((line) => line.map((w) => w * 1e-9)) } } };
    const inverse = choleskyInverse(trace.reduced, UNKNOWNS), { moves } = sharedErrors(chance.stack, chance.tiles, nothing as RefinedLadder, inverse);
    const { coupling } = plainSharedSums(chance.stack, chance.tiles, nothing as RefinedLadder);
    // With nothing learned the patterns stay independent, each of variance one: the covariance of what they move is H⁻¹ SᵀS H⁻¹.
    for (let k = 0; k < FRAMES; k++) {
      let expected = 0;
      for (let p = 0; p < PATTERNS; p++) { let moved = 0; for (let s = 0; s < UNKNOWNS; s++) moved += inverse[k * UNKNOWNS + s] * coupling[p * UNKNOWNS + s]; expected += moved * moved; }
      expect(moves.reduce((sum, move) => sum + move[k] ** 2, 0) / expected).toBeCloseTo(1, 6);
    }
  });

  it('adds up the same in WebAssembly', async () => {
    useLadderKernel(await builtKernel());
    const { stack, tiles, ladder } = solveOfChance(5), plain = plainSharedSums(stack, tiles, ladder), fast = fastSharedSums(stack, tiles, ladder)!;
    expectAlike(fast.right, plain.right);
    expectAlike(fast.coupling, plain.coupling);
    expectAlike(fast.normal, plain.normal);
    expect(plain.normal.some((v) => v !== 0)).toBe(true);
  });
});
