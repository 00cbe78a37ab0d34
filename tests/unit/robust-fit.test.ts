import { inverse, Matrix, solve } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { randomFrom } from '../../src/ladder/statistics.js';
import { plainRobustFit } from '../../src/registration/fit-similarity.js';

describe('plainRobustFit', () => {
  const random = randomFrom(5), n = 60, some = (scale: number): number[] => Array.from({ length: n }, () => scale * (random() - 0.5));
  const y = some(500), x = some(300).map((v) => v + 80), truth = [0.7, -0.4, 0.003, -0.002];
  const moved = (noise: number, wild: number): { dRow: number[]; dColumn: number[] } => ({
    dRow: y.map((_, i) => truth[0] - truth[2] * x[i] + truth[3] * y[i] + noise * (random() - 0.5) + (i < wild ? 9 : 0)),
    dColumn: x.map((_, i) => truth[1] + truth[2] * y[i] + truth[3] * x[i] + noise * (random() - 0.5) - (i < wild ? 14 : 0)),
  });

  it('finds a similarity again that windows agree on, to the whisper on its diagonal', () => {
    plainRobustFit(y, x, { ...moved(0, 0), weight: some(0.5).map((v) => v + 0.5) }).correction.forEach((v, i) => expect(Math.abs(v - truth[i])).toBeLessThan(1e-8));
  });
  it('is not led off by a fifth of the windows that say something else', () => {
    const { correction, scatter, good, all } = plainRobustFit(y, x, { ...moved(0.1, 12), weight: Array<number>(n).fill(1) });
    // Cauchy weights leave an outlier 16 px off 4σ²/d² of its say: a hundredth of a percent here.
    expect(Math.abs(correction[0] - truth[0]) + Math.abs(correction[1] - truth[1])).toBeLessThan(0.02);
    expect([good, all]).toEqual([48, 60]);
    // The middle of all 60 is the 30th of 48 evenly spread over a square of 0.1 px, whose error lies on a circle of 30/48 of its area.
    expect(Math.abs(scatter / (((30 / 48) * 0.01) / Math.PI / 1.39) - 1)).toBeLessThan(0.35);
  });
  it('gives what the same weighted least squares written out whole give (ml-matrix)', () => {
    const shifts = { ...moved(0.8, 4), weight: some(0.6).map((v) => v + 0.5) }, own = plainRobustFit(y, x, shifts);
    const design = new Matrix([...y.map((row, i) => [1, 0, -x[i], row]), ...x.map((column, i) => [0, 1, y[i], column])]), right = Matrix.columnVector([...shifts.dRow, ...shifts.dColumn]);
    let robust = Array<number>(n).fill(1), q = Matrix.zeros(4, 1), normal = Matrix.zeros(4, 4);
    for (let round = 0; round < 8; round++) {
      const weights = [...robust, ...robust].map((w, i) => w * shifts.weight[i % n]), weighted = Matrix.diag(weights).mmul(design);
      normal = weighted.transpose().mmul(design);
      q = solve(normal, weighted.transpose().mmul(right));
      const left = Matrix.sub(right, design.mmul(q)).to1DArray(), errors = y.map((_, i) => left[i] ** 2 + left[n + i] ** 2);
      const telling = errors.filter((_, i) => shifts.weight[i] > 0.05).sort((a, b) => a - b), scatter = telling[telling.length >> 1] / 1.39 + 1e-6;
      robust = errors.map((e) => 1 / (1 + e / (4 * scatter)));
    }
    q.to1DArray().forEach((v, i) => expect(Math.abs(own.correction[i] - v)).toBeLessThan(1e-7 * (1 + Math.abs(v))));
    inverse(normal).diag().forEach((v, i) => expect(Math.abs(own.variance[i] / v - 1)).toBeLessThan(1e-6));
  });
});
