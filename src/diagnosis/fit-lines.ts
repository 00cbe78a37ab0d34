import { robustSpread } from '../ladder/statistics.js';

/** Weighted least squares on a few columns by normal equations; `cost` is the weighted sum of squared residuals. */
export interface LinearFit { coefficients: number[]; residual: number[]; cost: number; /** Inverse of the normal matrix. */ inverse: number[][] }

/** @param columns regressors, each as long as `y`; few and far from parallel */
export function fitLinear(columns: readonly (readonly number[])[], y: readonly number[], weight: readonly number[]): LinearFit | null {
  const n = columns.length;
  const normal = columns.map((a) => columns.map((b) => sum(y.length, (i) => weight[i] * a[i] * b[i])));
  const right = columns.map((a) => sum(y.length, (i) => weight[i] * a[i] * y[i]));
  const inverse = invert(normal);
  if (!inverse) return null;
  const coefficients = inverse.map((row) => sum(n, (j) => row[j] * right[j]));
  const residual = y.map((v, i) => v - sum(n, (j) => coefficients[j] * columns[j][i]));
  return { coefficients, residual, cost: sum(y.length, (i) => weight[i] * residual[i] ** 2), inverse };
}

/** Huber's weights (limit 1.5 robust deviations, the usual 96 % efficient choice). */
export function huberWeights(residual: readonly number[]): number[] {
  const limit = 1.5 * Math.max(robustSpread(residual), 1e-12);
  return residual.map((r) => Math.min(1, limit / Math.max(Math.abs(r), 1e-12)));
}

function invert(matrix: readonly (readonly number[])[]): number[][] | null {
  const n = matrix.length, a = matrix.map((row, i) => [...row, ...row.map((_, j) => (i === j ? 1 : 0))]);
  for (let c = 0; c < n; c++) {
    let pivot = c;
    for (let r = c + 1; r < n; r++) if (Math.abs(a[r][c]) > Math.abs(a[pivot][c])) pivot = r;
    if (Math.abs(a[pivot][c]) < 1e-12 * Math.max(1, Math.abs(matrix[c][c]))) return null;
    [a[c], a[pivot]] = [a[pivot], a[c]];
    const by = a[c][c];
    a[c] = a[c].map((v) => v / by);
    for (let r = 0; r < n; r++) if (r !== c) { const times = a[r][c]; a[r] = a[r].map((v, j) => v - times * a[c][j]); }
  }
  return a.map((row) => row.slice(n));
}

function sum(n: number, term: (i: number) => number): number { let s = 0; for (let i = 0; i < n; i++) s += term(i); return s; }
