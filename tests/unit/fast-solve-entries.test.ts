import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { fastRatio, plainRatio } from '../../src/ladder/far-noise.js';
import { fastLosses } from '../../src/ladder/fast-losses.js';
import { useLadderKernel } from '../../src/ladder/fast-kernel.js';
import type { FocusCurve } from '../../src/ladder/focus-curve.js';
import { SPREADS } from '../../src/ladder/focus-curve.js';
import type { LadderState, SolveTrace } from '../../src/ladder/joint-solve.js';
import { DEFOCUS_COUNT, DEFOCUS_STEP } from '../../src/ladder/otf-table.js';
import { plainLosses } from '../../src/ladder/plain-losses.js';
import { fastMoves, plainMoves } from '../../src/ladder/position-scatter.js';
import type { SolveTiles } from '../../src/ladder/solve-tiles.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import { fastNear, plainNear } from '../../src/ladder/uncertainty.js';
import type { LadderKernel } from '../../src/simd/ladder-kernel.js';
import { builtKernel, expectAlike } from '../helpers/plain-and-fast.js';

let kernel: LadderKernel;
beforeAll(async () => { kernel = await builtKernel(); });
afterEach(() => useLadderKernel(null));

const COUNT = 317, FRAMES = 7, BANDS = [0, 1, 2], random = randomFrom(11);
const perTile = (of: () => number): Float64Array => Float64Array.from({ length: COUNT }, of), planes = (of: () => number): Float32Array[] => BANDS.map(() => Float32Array.from({ length: COUNT * FRAMES }, of));
const tiles = { count: COUNT, frames: FRAMES, tile: Int32Array.from({ length: COUNT }, (_, t) => t), energy: planes(() => random()), trust: planes(random)[0] } as unknown as SolveTiles;
const state: LadderState = {
  z: Float64Array.from({ length: FRAMES }, (_, k) => 0.6 * k), depth: perTile(() => 5 * random() - 0.5), lnAmplitude: BANDS.map(() => perTile(() => random() - 1)), spread: BANDS.map(() => perTile(() => 1.5 * random())),
  bend: BANDS.map(() => perTile(() => 0.2 * (random() - 0.5))), gain: new Float64Array(BANDS.length * FRAMES),
};
const tileTrust = perTile(random);
/** Bell curves, wider with the band and the spread. */
const curves = BANDS.map((b): FocusCurve => ({
  energy: Float64Array.from({ length: SPREADS.length * DEFOCUS_COUNT }, (_, i) => Math.exp(-((((i % DEFOCUS_COUNT) * DEFOCUS_STEP) / (1 + b + SPREADS[Math.floor(i / DEFOCUS_COUNT)])) ** 2))),
  slope: new Float64Array(0), kinship: new Float64Array(0), reach: 1.5 * (b + 1), inFocus: 1,
}));

describe('sums over the entries of a solve', () => {
  it.each([true, false])('what frames lost near focus is the same by the kernel as by the plain code, only by tiles to be relied on: %s', (settle) => {
    const stack = { noise: BANDS.map(() => Float64Array.from({ length: FRAMES }, () => 0.01 + 0.01 * random())) }, plain = plainLosses(stack, tiles, state, curves, tileTrust, settle);
    useLadderKernel(kernel);
    const fast = fastLosses(stack, tiles, state, curves, tileTrust, settle)!;
    expect(fast.map(({ relied }) => relied)).toEqual(plain.map(({ relied }) => relied));
    fast.forEach((frame, k) => { expectAlike(frame.fine, plain[k].fine); expectAlike(frame.coarse, plain[k].coarse); });
    expect(Math.min(...plain.map(({ relied }) => relied))).toBeGreaterThan(5);
    for (const { relied, fine } of plain) if (settle) expect(fine.length).toBe(relied); else expect(fine.length).toBeGreaterThan(relied);
  });

  it.each([[[]], [[2, 5]]])('how chance moves frames is the same, with the gain of frames %j free', (freeGain) => {
    const unknowns = FRAMES + BANDS.length * freeGain.length, entries = { robust: planes(random), byZ: planes(() => random() - 0.5), byLnAmplitude: planes(random), residual: planes(() => random() - 0.5) };
    const trace = { unknowns, entries } as unknown as SolveTrace, inverse = Float64Array.from({ length: unknowns ** 2 }, () => random() - 0.5), block = Int32Array.from({ length: COUNT }, (_, t) => (t < 9 ? t : Math.floor(9 * random()))), args = [tiles, trace, freeGain, inverse, block, 9, 1.06] as const;
    const plain = plainMoves(...args);
    useLadderKernel(kernel);
    const fast = fastMoves(...args)!;
    expect(fast).toHaveLength(9);
    fast.forEach((move, i) => expectAlike(move, plain[i]));
  });

  it('noise by entries out of reach is the same, or said to be unknown where they are few', () => {
    const stack = { noise: BANDS.map(() => Float64Array.from({ length: FRAMES }, () => 0.1 + 0.01 * random())), components: Float64Array.of(12, 10, 9) }, kin = curves.map((curve, b) => ({ ...curve, reach: [1.5, 1.7, 4.5][b], kinship: Float64Array.from({ length: DEFOCUS_COUNT }, (_, j) => 1 / (1 + j / 60)) }));
    const local = { energy: BANDS.map(() => perTile(random)), chance: [0.5, 0.4, 0.3] }, plain = BANDS.map((b) => plainRatio(stack, tiles, state, kin[b], b, tileTrust, local));
    useLadderKernel(kernel);
    const fast = BANDS.map((b) => fastRatio(stack, tiles, state, kin[b], b, tileTrust, local)!);
    // The coarsest curve reaches over almost the whole ladder.
    expect(plain.map(Number.isNaN)).toEqual([false, false, true]);
    expect(Number.isNaN(fast[2])).toBe(true);
    expectAlike(fast.slice(0, 2), plain.slice(0, 2));
  });

  it('tiles near frames are the same', () => {
    const plain = plainNear(state, tileTrust);
    useLadderKernel(kernel);
    const fast = fastNear(state, tileTrust)!;
    expect(fast.near).toEqual(plain.near);
    expectAlike(fast.nearSpread, plain.nearSpread);
    expect(Math.min(...plain.near)).toBeGreaterThan(0);
  });
});
