import { levenbergMarquardt } from 'ml-levenberg-marquardt';
import { Matrix, CholeskyDecomposition, inverse } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { choleskyInverse, choleskySolve } from '../../src/image/cholesky.js';
import { energyAt, focusCurve } from '../../src/ladder/focus-curve.js';
import { jointSolve, type LadderState } from '../../src/ladder/joint-solve.js';
import { MODEL_ERROR, type SolveTiles } from '../../src/ladder/solve-tiles.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';

describe('joint solve against ml-levenberg-marquardt (reference library)', () => {
  it('finds the same positions and depths on a small case', () => {
    const plan = planMeasurement(1000, 1500, 0.42), curve = focusCurve(plan, 0, 1.3), random = randomFrom(21);
    const truthZ = [0, 0.55, 1.2, 1.7, 2.4], truthDepth = [0.3, 0.9, 1.5, 2.0, 0.6, 1.25];
    const frames = truthZ.length, count = truthDepth.length, noise = 1e-4, amplitude = 0.05;
    const energy = new Float32Array(count * frames);
    const model = (z: number, d: number, a: number) => a * a * energyAt(curve, 0, z - d) + noise;
    for (let t = 0; t < count; t++) for (let k = 0; k < frames; k++) energy[t * frames + k] = model(truthZ[k], truthDepth[t], amplitude) * (1 + 0.01 * (random() - 0.5));
    const tiles: SolveTiles = { count, frames, tile: Int32Array.from({ length: count }, (_, i) => i), energy: [energy], amplitude: [energy], weight: [], trust: new Float32Array(energy.length).fill(1) };
    const startZ = truthZ.map((z, k) => z + 0.1 * Math.sin(k)), startDepth = truthDepth.map((d, t) => d + 0.1 * Math.cos(t));
    const state: LadderState = { z: Float64Array.from(startZ), depth: Float64Array.from(startDepth), lnAmplitude: [new Float64Array(count).fill(Math.log(amplitude * 1.05))], spread: [new Float64Array(count)], gain: new Float64Array(frames), bend: [new Float64Array(count)] };
    const components = Float64Array.of(20);
    for (let round = 0; round < 4; round++) {
      jointSolve([curve], tiles, state, { freeGain: [], weight: [new Float32Array(energy.length).fill(1)], noise: [new Float64Array(frames).fill(noise)], components, ratioPrior: null, local: null, rounds: 40, settled: 1e-12, ties: [], entries: false });
    }
    // The same residuals, handed to a general solver; the first frame is held at 0 and amplitudes are free.
    const sigma = Math.sqrt(noise / components[0] + (MODEL_ERROR * amplitude) ** 2);
    const fit = levenbergMarquardt(
      { x: Array.from(energy, (_, i) => i), y: Array.from(energy, (e) => Math.sqrt(e) / sigma) },
      (p: number[]) => (i: number) => {
        const k = i % frames, t = Math.floor(i / frames);
        return Math.sqrt(model(k === 0 ? 0 : p[k - 1], p[frames - 1 + t], Math.exp(p[frames - 1 + count + t]))) / sigma;
      },
      { initialValues: [...startZ.slice(1).map((z) => z - startZ[0]), ...startDepth.map((d) => d - startZ[0]), ...new Array<number>(count).fill(Math.log(amplitude * 1.05))], damping: 0.01, gradientDifference: 1e-5, centralDifference: true, maxIterations: 300, errorTolerance: 1e-12 },
    );
    for (let k = 1; k < frames; k++) {
      const step = state.z[k] - state.z[0];
      // Linear tables and finite differences: a thousandth of a DOF apart at most; 3e-3 allowed.
      expect(Math.abs(step - fit.parameterValues[k - 1])).toBeLessThan(3e-3);
      expect(Math.abs(step - truthZ[k])).toBeLessThan(0.02);
    }
  });
});

describe('Cholesky against ml-matrix (reference library)', () => {
  const n = 6, random = randomFrom(8), rows = Array.from({ length: n }, () => Array.from({ length: n }, () => random() - 0.5));
  const a = new Matrix(rows), positive = a.mmul(a.transpose()).add(Matrix.eye(n).mul(0.1));
  const flat = Float64Array.from(positive.to1DArray());
  it('solves the same system', () => {
    const right = Float64Array.from({ length: n }, () => random());
    const expected = new CholeskyDecomposition(positive).solve(Matrix.columnVector([...right])).to1DArray();
    choleskySolve(flat, right, n).forEach((v, i) => expect(v).toBeCloseTo(expected[i], 5));
  });
  it('inverts the same matrix', () => {
    const expected = inverse(positive).to1DArray();
    choleskyInverse(flat, n).forEach((v, i) => expect(Math.abs(v - expected[i])).toBeLessThan(1e-5 * Math.max(1, Math.abs(expected[i]))));
  });
});
