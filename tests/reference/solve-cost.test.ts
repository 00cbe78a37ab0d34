import { beforeEach, describe, expect, it, vi } from 'vitest';
import { energyAt, focusCurve } from '../../src/ladder/focus-curve.js';
import { jointSolve, type LadderState } from '../../src/ladder/joint-solve.js';
import type { SolveTiles } from '../../src/ladder/solve-tiles.js';
import type { TilePass } from '../../src/ladder/tile-pass.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import { Random } from '../helpers/render/random.js';

/** Passes over all tiles, counted where the solve asks for them. */
const passes = { over: 0, eliminating: 0 };
vi.mock('../../src/ladder/tile-pass.js', async (load) => {
  const real = await load<typeof import('../../src/ladder/tile-pass.js')>();
  return { ...real, startTilePass: (...given: Parameters<typeof real.startTilePass>): TilePass => {
    const pass = real.startTilePass(...given);
    return { ...pass, try: (...asked) => { passes.over++; return pass.try(...asked); }, eliminate: (damping) => { passes.eliminating++; return pass.eliminate(damping); } };
  } };
});

const plan = planMeasurement(1000, 1500, 0.42), curves = plan.bands.map((_, b) => focusCurve(plan, b, 1.3)), BANDS = curves.length, STEP = 0.5, NOISE = 4e-4;

/** A ladder of evenly spread tiles, started a little off; weights as the engine's reach weights. */
function solve(frames: number, count: number): { passes: number; within: number; work: number } {
  const random = new Random(frames * 7 + count), depth = Float64Array.from({ length: count }, () => random.between(0, (frames - 1) * STEP)), amplitude = 0.06;
  const energy = curves.map((curve) => {
    const out = new Float32Array(count * frames);
    for (let t = 0; t < count; t++) for (let k = 0; k < frames; k++) out[t * frames + k] = (Math.sqrt(amplitude ** 2 * energyAt(curve, 0, k * STEP - depth[t]) + NOISE) + 0.004 * random.normal()) ** 2;
    return out;
  });
  const weight = curves.map((curve) => Float32Array.from({ length: count * frames }, (_, i) => 1 / (1 + (((i % frames) * STEP - depth[Math.floor(i / frames)]) / (0.7 * curve.reach)) ** 6)));
  const tiles: SolveTiles = { count, frames, tile: Int32Array.from({ length: count }, (_, i) => i), energy, amplitude: energy, weight: [], trust: new Float32Array(count * frames).fill(1) };
  const state: LadderState = {
    z: Float64Array.from({ length: frames }, (_, k) => k * STEP + 0.1 * random.normal()), depth: depth.map((d) => d + 0.1 * random.normal()),
    lnAmplitude: curves.map(() => new Float64Array(count).fill(Math.log(amplitude))), spread: curves.map(() => new Float64Array(count)), gain: new Float64Array(BANDS * frames), bend: curves.map(() => new Float64Array(count)),
  };
  const { entries } = jointSolve(curves, tiles, state, {
    freeGain: [], weight, noise: curves.map(() => new Float64Array(frames).fill(NOISE)), components: Float64Array.of(20, 25, 30), ratioPrior: null, local: null, rounds: 10, settled: 1e-4, ties: [], entries: true,
  });
  // Frames a tile has anything to do with: those where any band's entry has weight.
  let within = 0, squares = 0;
  for (let t = 0; t < count; t++) {
    let some = 0;
    for (let k = 0; k < frames; k++) if (entries!.robust.some((of) => of[t * frames + k] > 0)) some++;
    within += some / count; squares += some * some;
  }
  // A pass evaluates every entry and multiplies, for each tile, pairs of frames within its reach, four numbers each; eliminating again multiplies only.
  return { passes: passes.over + passes.eliminating, within, work: passes.over * (count * frames * BANDS + 2 * squares) + passes.eliminating * 2 * squares };
}

beforeEach(() => { passes.over = 0; passes.eliminating = 0; });
const run = (frames: number, count: number): ReturnType<typeof solve> => { passes.over = 0; passes.eliminating = 0; return solve(frames, count); };

describe('the work of the joint solve, counted', () => {
  it('grows in proportion to the tiles: passes don’t become more', () => {
    const few = run(30, 150), many = run(30, 1_200);
    console.log(`30 frames: 150 tiles ${few.passes} passes, 1200 tiles ${many.passes} passes`);
    // Which step is the last is a matter of chance: one pass in ten more or less.
    expect(many.passes).toBeLessThanOrEqual(few.passes + 2);
    expect(many.work / few.work / 8).toBeLessThan(1.3);
  });
  it('grows in proportion to the frames once a stack is longer than a tile sees: neither passes nor the frames a tile has to do with become more', () => {
    const lengths = [40, 80, 160, 320].map((frames) => ({ frames, ...run(frames, 300) }));
    for (const { frames, passes: of, within, work } of lengths) console.log(`${frames} frames: ${of} passes, ${within.toFixed(1)} frames within a tile's reach, ${(work / (frames * 300)).toFixed(0)} operations a tile and frame`);
    const [, , long, longer] = lengths;
    expect(longer.passes).toBeLessThanOrEqual(long.passes + 2);
    expect(longer.within / long.within).toBeLessThan(1.15);
    expect(longer.work / long.work / 2).toBeLessThan(1.2);
  });
});
