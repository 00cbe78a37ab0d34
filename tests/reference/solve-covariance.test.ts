import { inverse as libraryInverse, Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { choleskyInverse } from '../../src/image/cholesky.js';
import { energyAt, focusCurve } from '../../src/ladder/focus-curve.js';
import { jointSolve, type LadderState, type SolveSettings, type SolveTrace } from '../../src/ladder/joint-solve.js';
import { positionScatter } from '../../src/ladder/position-scatter.js';
import { MODEL_ERROR, type SolveTiles } from '../../src/ladder/solve-tiles.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import { Random } from '../helpers/render/random.js';

/** Energies are drawn from the model itself, with the noise the solve is told of: what is tried is the solve and what it says of itself, not the model. */
const plan = planMeasurement(1000, 1500, 0.42), curves = plan.bands.map((_, b) => focusCurve(plan, b, 1.3)), BANDS = curves.length;
const COMPONENTS = Float64Array.of(20, 25, 30), FRAMES = 9, STEP = 0.6, DRAWS = 200;
/** Far enough apart for each to be a block of its own. */
const GRID = { gridColumns: 8 * 4000 };

interface World { z: number[]; depth: number[]; amplitude: number[][]; noise: number }

function world(count: number, seed: number): World {
  const random = new Random(seed);
  return {
    z: Array.from({ length: FRAMES }, (_, k) => k * STEP), noise: 4e-4,
    depth: Array.from({ length: count }, () => random.between(-0.2, (FRAMES - 1) * STEP + 0.2)),
    amplitude: Array.from({ length: count }, () => Array.from({ length: BANDS }, () => 0.06 * Math.exp(0.4 * random.normal()))),
  };
}

const modelEnergy = (w: World, t: number, b: number, k: number): number => w.amplitude[t][b] ** 2 * energyAt(curves[b], 0, w.z[k] - w.depth[t]) + w.noise;
const sigmaOf = (w: World, t: number, b: number): number => Math.sqrt(w.noise / COMPONENTS[b] + (MODEL_ERROR * w.amplitude[t][b]) ** 2);

/** Solved from the truth: what is wanted is the place of the least cost beside it. @param random null: without noise */
function solve(w: World, random: Random | null): { state: LadderState; trace: SolveTrace; tiles: SolveTiles } {
  const count = w.depth.length, energy = curves.map((_, b) => {
    const out = new Float32Array(count * FRAMES);
    for (let t = 0; t < count; t++) for (let k = 0; k < FRAMES; k++) out[t * FRAMES + k] = Math.max(0, Math.sqrt(modelEnergy(w, t, b, k)) + (random ? sigmaOf(w, t, b) * random.normal() : 0)) ** 2;
    return out;
  });
  const tiles: SolveTiles = { count, frames: FRAMES, tile: Int32Array.from({ length: count }, (_, i) => 8 * i), energy, amplitude: energy, weight: [], trust: new Float32Array(count * FRAMES).fill(1) };
  const state: LadderState = {
    z: Float64Array.from(w.z), depth: Float64Array.from(w.depth), spread: curves.map(() => new Float64Array(count)), gain: new Float64Array(BANDS * FRAMES), bend: curves.map(() => new Float64Array(count)),
    lnAmplitude: curves.map((_, b) => Float64Array.from(w.amplitude, (a) => Math.log(a[b]))),
  };
  const settings: SolveSettings = {
    freeGain: [], weight: curves.map(() => new Float32Array(count * FRAMES).fill(1)), noise: curves.map(() => new Float64Array(FRAMES).fill(w.noise)), components: COMPONENTS,
    ratioPrior: null, local: null, rounds: 40, settled: 1e-10, ties: [], entries: true,
  };
  return { state, trace: jointSolve(curves, tiles, state, settings), tiles };
}

const stepVariance = (covariance: (a: number, b: number) => number, k: number): number => covariance(k, k) + covariance(k + 1, k + 1) - 2 * covariance(k, k + 1);
const steps = Array.from({ length: FRAMES - 1 }, (_, k) => k);
const mean = (list: readonly number[]): number => list.reduce((sum, v) => sum + v, 0) / list.length;

describe('the joint solve’s covariance', () => {
  // Fisher information of independent normal errors is JᵀJ with the derivatives in sigmas; no unbiased estimate scatters less than its inverse
  // (H. Cramér, Mathematical Methods of Statistics, 1946, 32.3; C. R. Rao, Bull. Calcutta Math. Soc. 37, 1945). Here J comes from finite differences of
  // the model over all unknowns at once, and the inverse from ml-matrix.
  it('without noise is the inverse of the Fisher information (finite differences, inverse by ml-matrix)', () => {
    const w = world(30, 3), count = w.depth.length, { trace } = solve(w, null), own = choleskyInverse(trace.reduced, FRAMES);
    const unknowns = FRAMES - 1 + count * (1 + BANDS), rows: number[][] = [], h = 1e-4;
    const shifted = (u: number, by: number): World => ({
      ...w, z: w.z.map((v, k) => (k === u + 1 && u < FRAMES - 1 ? v + by : v)), depth: w.depth.map((v, t) => (u === FRAMES - 1 + t ? v + by : v)),
      amplitude: w.amplitude.map((a, t) => a.map((v, b) => (u === FRAMES - 1 + count + t * BANDS + b ? v * Math.exp(by) : v))),
    });
    for (let u = 0; u < unknowns; u++) {
      const up = shifted(u, h), down = shifted(u, -h), row: number[] = [];
      for (let t = 0; t < count; t++) for (let b = 0; b < BANDS; b++) for (let k = 0; k < FRAMES; k++) row.push((Math.sqrt(modelEnergy(up, t, b, k)) - Math.sqrt(modelEnergy(down, t, b, k))) / (2 * h) / sigmaOf(w, t, b));
      rows.push(row);
    }
    const jacobian = new Matrix(rows), bound = libraryInverse(jacobian.mmul(jacobian.transpose()));
    // The first frame is held in the one, the mean of all in the other; steps don't feel it.
    const reference = (a: number, b: number): number => (a === 0 || b === 0 ? 0 : bound.get(a - 1, b - 1));
    for (const k of steps) {
      const ratio = Math.sqrt(stepVariance((a, b) => own[a * FRAMES + b], k) / stepVariance(reference, k));
      // The curves' slopes are tabulated, the finite differences are of the table's own straight pieces: 2 %.
      expect(Math.abs(ratio - 1), `step ${k}`).toBeLessThan(0.02);
    }
  });

  const w = world(140, 5);
  const bound = choleskyInverse(solve(w, null).trace.reduced, FRAMES);
  const scatter: number[][] = [], stated: number[][] = [];
  for (let draw = 0; draw < DRAWS; draw++) {
    const { state, trace, tiles } = solve(w, new Random(1_000 + draw)), moves = positionScatter(GRID, tiles, trace, [], choleskyInverse(trace.reduced, FRAMES));
    scatter.push(steps.map((k) => state.z[k + 1] - state.z[k] - STEP));
    stated.push(steps.map((k) => moves.reduce((sum, move) => sum + (move[k + 1] - move[k]) ** 2, 0)));
  }
  const variance = (k: number): number => scatter.reduce((sum, s) => sum + s[k] ** 2, 0) / DRAWS;
  /** Standard error of a standard deviation from so many draws, relative: 1/√(2n). */
  const sampling = 1 / Math.sqrt(2 * DRAWS);

  it(`is the scatter of ${DRAWS} solves of the same scene with noise drawn anew`, () => {
    const ratios = steps.map((k) => Math.sqrt(variance(k) / mean(stated.map((s) => s[k]))));
    console.log(`scatter ÷ stated sigma by step: ${ratios.map((r) => r.toFixed(2)).join(' ')}, mean ${mean(ratios).toFixed(3)}; one standard error ${sampling.toFixed(2)}`);
    // Eight steps: 3.3 standard errors leave one chance in a hundred that one of them lies outside.
    for (const ratio of ratios) expect(Math.abs(ratio - 1)).toBeLessThan(3.3 * sampling);
    // Neighbouring steps share a frame; about half of the eight count as independent.
    expect(Math.abs(mean(ratios) - 1)).toBeLessThan((3 * sampling) / Math.sqrt(4));
  });
  it('comes with steps that are right on average', () => {
    for (const k of steps) expect(Math.abs(mean(scatter.map((s) => s[k]))), `step ${k}`).toBeLessThan(4 * Math.sqrt(variance(k) / DRAWS));
  });
  it('lies at the Cramér–Rao bound: the solve wastes next to nothing of what the energies hold', () => {
    const ratios = steps.map((k) => Math.sqrt(variance(k) / stepVariance((a, b) => bound[a * FRAMES + b], k)));
    console.log(`scatter ÷ Cramér–Rao bound by step: ${ratios.map((r) => r.toFixed(2)).join(' ')}, mean ${mean(ratios).toFixed(3)}`);
    for (const ratio of ratios) expect(ratio).toBeGreaterThan(1 - 3.3 * sampling);
    // Huber's weights beyond 2 sigma cost 1 % of a normal scatter (P. J. Huber, Ann. Math. Statist. 35, 1964); amplitudes and noise that are estimated, some more.
    expect(mean(ratios)).toBeLessThan(1.1);
  });
});
