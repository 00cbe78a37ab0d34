import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { useLadderKernel } from '../../src/ladder/fast-kernel.js';
import { shortFloats } from '../../src/image/short-floats.js';
import { depthsOfTiles } from '../../src/ladder/depths-of-tiles.js';
import { exhaustiveDepth } from '../../src/ladder/exhaustive-depth.js';
import { exhaustivePosition } from '../../src/ladder/exhaustive-position.js';
import { energyAt, focusCurve } from '../../src/ladder/focus-curve.js';
import { tileFollower } from '../../src/ladder/follow-tiles.js';
import { jointSolve, type LadderState, type SolveSettings, type SolveTrace } from '../../src/ladder/joint-solve.js';
import { MODEL_ERROR, selectTiles, type SolveTiles } from '../../src/ladder/solve-tiles.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import type { TileStack } from '../../src/ladder/tile-stack.js';
import { IDENTITY } from '../../src/registration/similarity.js';
import type { FrameMeasure } from '../../src/sharpness/measure-plan.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import { tileGrid } from '../../src/sharpness/tile-grid.js';
import { loadLadderKernel, type LadderKernel } from '../../src/simd/ladder-kernel.js';
import { bothBuilds, builtBytes } from '../helpers/built-kernels.js';

const plan = planMeasurement(1000, 1500, 0.42), curves = plan.bands.map((_, b) => focusCurve(plan, b, 1.3));
const frames = 13, count = 61, bands = curves.length;

/** A noisy stack with outliers, tiles beyond the ends, entries without weight, and two frames whose gain is free. */
function problem(freeGain: number[]): { tiles: SolveTiles; start: () => LadderState; settings: SolveSettings } {
  const random = randomFrom(5), spread = curves.map(() => Float64Array.from({ length: count }, (_, t) => (t % 3 ? 0.05 * (t % 17) : 0)));
  const z = Float64Array.from({ length: frames }, (_, k) => 0.7 * k + 0.2 * random()), depth = Float64Array.from({ length: count }, () => 10 * random() - 0.6);
  const amplitude = curves.map((_, b) => Float64Array.from({ length: count }, () => 0.02 * (b + 1) * (0.5 + random())));
  const noise = curves.map((_, b) => Float64Array.from({ length: frames }, (_, k) => 1e-5 * (1 + 0.1 * k + b)));
  const energy = curves.map((curve, b) => Float32Array.from({ length: count * frames }, (_, i) => {
    const t = Math.floor(i / frames), k = i % frames, blurred = freeGain.includes(k) ? 0.8 - 0.1 * b : 1;
    return (amplitude[b][t] ** 2 * blurred * energyAt(curve, 1, z[k] - depth[t]) + noise[b][k]) * (0.8 + 0.4 * random()) * (random() < 0.03 ? 4 : 1);
  }));
  const weight = curves.map((_, b) => Float32Array.from({ length: count * frames }, (_, i) => {
    const t = Math.floor(i / frames), near = Math.abs(z[i % frames] - depth[t]) < 3 * (b + 1);
    return t === 7 ? 0 : near ? 0.1 + random() : 5e-5;
  }));
  const tiles: SolveTiles = { count, frames, tile: Int32Array.from({ length: count }, (_, i) => i), energy, amplitude: energy, weight: [], trust: weight[0] };
  return {
    tiles,
    start: () => ({
      z: z.map((v, k) => v + 0.15 * Math.sin(3 * k)), depth: depth.map((v, t) => v + 0.2 * Math.cos(5 * t)), lnAmplitude: amplitude.map((a) => a.map((v) => Math.log(1.1 * v))),
      spread, gain: new Float64Array(bands * frames), bend: Array.from({ length: bands }, (_, b) => Float64Array.from({ length: count }, (_, t) => 0.05 * b * ((t % 5) - 2))),
    }),
    settings: {
      freeGain, weight, noise, components: Float64Array.of(12, 10, 9), rounds: 10, settled: 1e-6, entries: true,
      ratioPrior: { mean: [-0.7, -0.4], spread: [0.3, 0.2], pull: Float64Array.from({ length: count }, (_, t) => 1 / (1 + (t % 4))) },
      local: { energy: amplitude.map((a) => a.map((v) => 1.2 * v * v)), chance: [0.6, 0.3, 0] },
      ties: Array.from({ length: frames - 1 }, (_, k) => ({ from: k, to: k + 1, step: 0.7, spread: 2 })),
    },
  };
}

let kernel: LadderKernel;
const FILES = bothBuilds('ladder');
afterEach(() => useLadderKernel(null));

/** Root mean square difference relative to the reference's. */
function apart(values: ArrayLike<number>, reference: ArrayLike<number>): number {
  expect(values.length).toBe(reference.length);
  let off = 0, all = 0;
  for (let i = 0; i < reference.length; i++) { off += (values[i] - reference[i]) ** 2; all += reference[i] ** 2; }
  return Math.sqrt(off / all);
}

/** The plain code, checked against a reference library elsewhere, is the reference here. */
describe.each(FILES)('the SIMD joint solve against the plain one: %s', (file) => {
  beforeAll(async () => { kernel = await loadLadderKernel(builtBytes(file, 'that solve')); });

  for (const freeGain of [[], [4, 9]]) it(`gives the same solution with ${freeGain.length} free gains`, () => {
    const { tiles, start, settings } = problem(freeGain);
    const solve = (): { state: LadderState; trace: SolveTrace } => { const state = start(); return { state, trace: jointSolve(curves, tiles, state, settings) }; };
    const plain = solve();
    useLadderKernel(kernel);
    const fast = solve();
    // Single precision, 6e−8 a number: residuals of some 1e−5 after the differences, steps of the solve settled to 1e−6 of the cost.
    fast.state.z.forEach((v, k) => expect(Math.abs(v - plain.state.z[k])).toBeLessThan(2e-4));
    fast.state.gain.forEach((v, i) => expect(Math.abs(v - plain.state.gain[i])).toBeLessThan(2e-4));
    expect(apart(fast.state.depth, plain.state.depth)).toBeLessThan(2e-4);
    fast.state.lnAmplitude.forEach((ln, b) => expect(apart(ln, plain.state.lnAmplitude[b])).toBeLessThan(2e-4));
    expect(Math.abs(fast.trace.cost / plain.trace.cost - 1)).toBeLessThan(1e-5);
    expect(fast.trace.unknowns).toBe(frames + bands * freeGain.length);
    expect(apart(fast.trace.reduced, plain.trace.reduced)).toBeLessThan(1e-3);
    expect(apart(fast.trace.misfit, plain.trace.misfit)).toBeLessThan(1e-3);
    // Of entries without weight nothing is promised.
    const weighed = (trace: SolveTrace, field: 'residual' | 'robust' | 'byZ' | 'byLnAmplitude' | 'sigma') => trace.entries![field].flatMap((values, b) => Array.from(values).filter((_, i) => settings.weight[b][i] > 1e-4));
    for (const field of ['residual', 'robust', 'byZ', 'byLnAmplitude', 'sigma'] as const) expect(apart(weighed(fast.trace, field), weighed(plain.trace, field))).toBeLessThan(2e-3);
    expect(apart(fast.trace.entries!.coupling, plain.trace.entries!.coupling)).toBeLessThan(2e-3);
    expect(apart(fast.trace.entries!.tileNormal, plain.trace.entries!.tileNormal)).toBeLessThan(2e-3);
  });

  it('leaves the work to the plain code where the platform grants no memory', () => {
    const { tiles, start, settings } = problem([]), plain = start(), state = start();
    jointSolve(curves, tiles, plain, settings);
    useLadderKernel({ ...kernel, memory: { buffer: new ArrayBuffer(65536), grow: () => { throw new RangeError('could not grow'); } } });
    jointSolve(curves, tiles, state, settings);
    expect(Array.from(state.z)).toEqual(Array.from(plain.z));
  });
});

describe.each(FILES)('the SIMD exhaustive searches against the plain ones: %s', (file) => {
  beforeAll(async () => { kernel = await loadLadderKernel(builtBytes(file, 'that solve')); });

  const { tiles, start } = problem([]), { z, spread } = start(), shuffledZ = z.map((_, k) => z[(5 * k) % frames]);
  tiles.amplitude = tiles.energy.map((energy) => energy.map(Math.sqrt));
  tiles.weight = tiles.amplitude.map((amplitude) => Float64Array.from({ length: count }, (_, t) => 1 / (1e-6 + (MODEL_ERROR * Math.max(...amplitude.subarray(t * frames, (t + 1) * frames))) ** 2)));

  for (const [name, places, wide] of [['frames in order, no spread', z, null], ['frames out of order, spread', shuffledZ, spread]] as const) it(`find the same depths, costs and amplitudes with ${name}`, () => {
    const plain = exhaustiveDepth(curves, tiles, places, wide);
    useLadderKernel(kernel);
    const fast = exhaustiveDepth(curves, tiles, places, wide);
    // The same place on the grid, but for rounding of its start; costs are differences of sums a hundred times as large, in single precision.
    fast.depth.forEach((v, t) => expect(Math.abs(v - plain.depth[t])).toBeLessThan(1e-9));
    expect(apart(fast.cost, plain.cost)).toBeLessThan(1e-4);
    fast.amplitude.forEach((a, b) => expect(apart(a, plain.amplitude[b])).toBeLessThan(1e-5));
  });

  it('find the same depths of tiles read from the stack there and then', () => {
    const noise = curves.map((_, b) => Float64Array.from({ length: frames }, (_, k) => 2e-5 * (1 + 0.1 * k + b))), noiseFloor = noise.map((line) => line[6]);
    const stack = { frames, energy: tiles.energy, trust: tiles.trust, noise, noiseFloor, components: Float64Array.of(12, 10, 9) } as unknown as TileStack, some = Int32Array.from({ length: count }, (_, t) => t).filter((t) => t > 3 && t % 4 !== 1);
    const plain = depthsOfTiles(stack, curves, some, z), chosen = selectTiles(stack, some);
    useLadderKernel(kernel);
    const fast = depthsOfTiles(stack, curves, some, z), amplitudes = selectTiles(stack, some);
    fast.forEach((v, t) => expect(Math.abs(v - plain[t])).toBeLessThan(1e-9));
    expect(Array.from(plain).some((v) => Math.abs(v - plain[0]) > 1)).toBe(true);
    // The same arithmetic in the same precision.
    chosen.amplitude.forEach((values, b) => expect(Array.from(amplitudes.amplitude[b])).toEqual(Array.from(values)));
    chosen.weight.forEach((values, b) => expect(apart(amplitudes.weight[b], values)).toBeLessThan(1e-14));
    expect(chosen.amplitude[0].includes(0)).toBe(true);
  });

  it('find the same costs of all positions', () => {
    const { depth, amplitude } = exhaustiveDepth(curves, tiles, z, null);
    const plain = exhaustivePosition(curves, tiles, z, depth, amplitude, spread);
    useLadderKernel(kernel);
    const fast = exhaustivePosition(curves, tiles, z, depth, amplitude, spread);
    expect(Array.from(fast.grid)).toEqual(Array.from(plain.grid));
    expect(apart(fast.cost, plain.cost)).toBeLessThan(1e-5);
    expect(apart(fast.empty, plain.empty)).toBeLessThan(1e-12);
  });
});

describe.each(FILES)('the SIMD tile follower against the plain one: %s', (file) => {
  beforeAll(async () => { kernel = await loadLadderKernel(builtBytes(file, 'that solve')); });

  it.each([['moved, turned and scaled', { row: 11.3, column: -7.8, turn: 0.02, lnScale: 0.01 }], ['moved and scaled', { row: -9.2, column: 12.6, turn: 0, lnScale: -0.02 }], ['where they stand', IDENTITY]])('reads the same energies and brightness from frames that are %s, and marks the same tiles', (_, transform) => {
    const random = randomFrom(12), rows = 500, columns = 707, wide = planMeasurement(rows, columns, 0.42), cellRows = Math.ceil(rows / wide.cellPx), cellColumns = Math.ceil(columns / wide.cellPx);
    const cells = (scale: number) => shortFloats(Float32Array.from({ length: cellRows * cellColumns }, () => scale * random()));
    const measure = {
      rows, columns, cellRows, cellColumns, energy: wide.bands.map(() => cells(1e-3)), brightness: cells(2), meanRoot: 1,
      clipped: Uint8Array.from({ length: cellRows * cellColumns }, (_, i) => (i % 97 === 0 ? 200 : 0)),
    } as unknown as FrameMeasure;
    const { gridRows, gridColumns } = tileGrid(wide, rows, columns), size = gridRows * gridColumns;
    const follow = () => {
      const marks = { gridRows, gridColumns, inside: new Uint8Array(size).fill(1), clear: new Uint8Array(size).fill(1) }, out = [...wide.bands, null].map(() => new Float32Array(size));
      tileFollower(wide, measure, marks)(measure, transform, out);
      return { ...marks, out };
    };
    useLadderKernel(null);
    const plain = follow();
    useLadderKernel(kernel);
    const fast = follow();
    expect(Array.from(fast.inside)).toEqual(Array.from(plain.inside));
    expect(Array.from(fast.clear)).toEqual(Array.from(plain.clear));
    expect([plain.inside.includes(0), plain.clear.includes(0), plain.clear.includes(1)]).toEqual([transform !== IDENTITY, true, true]);
    // Single precision; the plain means are differences of sums over the whole picture, in double.
    fast.out.forEach((values, i) => values.forEach((v, t) => expect(Math.abs(v - plain.out[i][t])).toBeLessThan(2e-6 * (1 + Math.abs(plain.out[i][t])))));
    expect(apart(fast.out[0], plain.out[0])).toBeLessThan(1e-6);
  });
});
