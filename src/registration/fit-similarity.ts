import { fastRobustFit } from './fast-windows.js';
import { turnOf, type Similarity } from './similarity.js';

/** Measured displacements of windows against a predicted similarity. */
export interface WindowShifts {
  /** Window centres, centred coordinates of the first frame. */
  row: readonly number[];
  column: readonly number[];
  /** Displacement beyond the prediction. */
  dRow: readonly number[];
  dColumn: readonly number[];
  /** 0…1 */
  weight: readonly number[];
}

export interface SimilarityFit {
  /** The prediction, corrected. */
  similarity: Similarity;
  /** Variances of row, column, turn and lnScale. */
  variance: [number, number, number, number];
  /** Robust standard deviation of a window's displacement, pixels. */
  scatterPx: number;
  /** Weight share of windows within 2 pixels of the fit. */
  inlierShare: number;
}

/** Correction of row, column, turn and lnScale, their variances for unit variance of a window's axis, that variance, and the weights near the fit and all together. */
export interface RobustFit { correction: [number, number, number, number]; variance: [number, number, number, number]; scatter: number; good: number; all: number }

/** Corrects a predicted similarity by robust least squares (Cauchy weights, eight rounds) on the windows' displacements. */
export function fitSimilarity(predicted: Similarity, shifts: WindowShifts): SimilarityFit {
  const { cosine, sine } = turnOf(predicted), n = shifts.row.length;
  const y = shifts.row.map((row, i) => cosine * row - sine * shifts.column[i]), x = shifts.column.map((column, i) => sine * shifts.row[i] + cosine * column);
  const { correction: [row, column, turn, lnScale], variance, scatter, good, all } = fastRobustFit(y, x, shifts) ?? plainRobustFit(y, x, shifts);
  return {
    similarity: { row: predicted.row + row, column: predicted.column + column, turn: predicted.turn + turn, lnScale: predicted.lnScale + lnScale },
    variance: variance.map((unit) => 2 * scatter * unit) as SimilarityFit['variance'], scatterPx: Math.sqrt(scatter), inlierShare: good / Math.max(all, 0.25 * n, 1e-9),
  };
}

const ROUNDS = 8;

/** @param y, x where the windows are expected, about the second frame's middle */
export function plainRobustFit(y: readonly number[], x: readonly number[], { dRow, dColumn, weight }: Pick<WindowShifts, 'dRow' | 'dColumn' | 'weight'>): RobustFit {
  const n = y.length, robust = new Float64Array(n).fill(1), error = new Float64Array(n), kept = new Float64Array(n);
  let row = 0, column = 0, turn = 0, lnScale = 0, shiftUnit = 0, turnUnit = 0, scatter = 1;
  for (let round = 0; round < ROUNDS; round++) {
    // Rows [1, 0, −x, y] and [0, 1, y, x] of each window, multiplied out.
    let all = 0, sumY = 0, sumX = 0, square = 0, down = 0, across = 0, turned = 0, grown = 0;
    for (let i = 0; i < n; i++) {
      const w = weight[i] * robust[i];
      all += w; sumY += w * y[i]; sumX += w * x[i]; square += w * (x[i] * x[i] + y[i] * y[i]);
      down += w * dRow[i]; across += w * dColumn[i]; turned += w * (y[i] * dColumn[i] - x[i] * dRow[i]); grown += w * (y[i] * dRow[i] + x[i] * dColumn[i]);
    }
    // Shifts hang together with turn and growth by the windows' middle alone, so that the four equations are two pairs, each with one factor; with a whisper on the diagonal.
    all += all * 1e-9 + 1e-12; square += square * 1e-9 + 1e-12;
    const middle = sumX * sumX + sumY * sumY;
    turnUnit = 1 / (square - middle / all); shiftUnit = 1 / (all - middle / square);
    turn = (turned - (sumY * across - sumX * down) / all) * turnUnit; lnScale = (grown - (sumY * down + sumX * across) / all) * turnUnit;
    row = (down + sumX * turn - sumY * lnScale) / all; column = (across - sumY * turn - sumX * lnScale) / all;
    let used = 0;
    for (let i = 0; i < n; i++) {
      error[i] = (dRow[i] - row + x[i] * turn - y[i] * lnScale) ** 2 + (dColumn[i] - column - y[i] * turn - x[i] * lnScale) ** 2;
      if (weight[i] > 0.05) kept[used++] = error[i];
    }
    // Median of a squared two-dimensional error is 1.39 σ² for normal errors.
    scatter = used ? kept.subarray(0, used).sort()[used >> 1] / 1.39 + 1e-6 : 1;
    for (let i = 0; i < n; i++) robust[i] = 1 / (1 + error[i] / (4 * scatter));
  }
  let good = 0, all = 0;
  for (let i = 0; i < n; i++) { all += weight[i]; if (error[i] < 4) good += weight[i]; }
  return { correction: [row, column, turn, lnScale], variance: [shiftUnit, shiftUnit, turnUnit, turnUnit], scatter, good, all };
}
