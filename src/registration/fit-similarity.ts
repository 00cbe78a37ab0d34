import { applySimilarity, type Similarity } from './similarity.js';

/** Measured displacements of windows against a predicted similarity. */
export interface WindowShifts {
  /** Window centres, centred coordinates of the first frame. */
  row: number[];
  column: number[];
  /** Displacement beyond the prediction. */
  dRow: number[];
  dColumn: number[];
  /** 0…1 */
  weight: number[];
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

/** Corrects a predicted similarity by robust least squares (Cauchy weights, eight rounds) on the windows' displacements. */
export function fitSimilarity(predicted: Similarity, shifts: WindowShifts): SimilarityFit {
  const n = shifts.row.length, robust = new Float64Array(n).fill(1), error = new Float64Array(n), kept = new Float64Array(n);
  const turned = shifts.row.map((row, i) => {
    const p = applySimilarity(predicted, row, shifts.column[i]);
    return { row: p.row - predicted.row, column: p.column - predicted.column };
  });
  let q = [0, 0, 0, 0], normal = new Float64Array(16), scatter = 1;
  for (let round = 0; round < 8; round++) {
    const right = [0, 0, 0, 0];
    // Rows [1, 0, −x, y] and [0, 1, y, x] of each window, multiplied out.
    let all = 0, sumY = 0, sumX = 0, square = 0;
    for (let i = 0; i < n; i++) {
      const w = shifts.weight[i] * robust[i], { row: y, column: x } = turned[i], dy = shifts.dRow[i], dx = shifts.dColumn[i];
      all += w; sumY += w * y; sumX += w * x; square += w * (x * x + y * y);
      right[0] += w * dy; right[1] += w * dx; right[2] += w * (y * dx - x * dy); right[3] += w * (y * dy + x * dx);
    }
    normal = Float64Array.of(all, 0, -sumX, sumY, 0, all, sumY, sumX, -sumX, sumY, square, 0, sumY, sumX, 0, square);
    q = solve4(normal, right);
    let used = 0;
    for (let i = 0; i < n; i++) {
      const { row: y, column: x } = turned[i];
      error[i] = (shifts.dRow[i] - q[0] + x * q[2] - y * q[3]) ** 2 + (shifts.dColumn[i] - q[1] - y * q[2] - x * q[3]) ** 2;
      if (shifts.weight[i] > 0.05) kept[used++] = error[i];
    }
    // Median of a squared two-dimensional error is 1.39 σ² for normal errors.
    scatter = used ? kept.subarray(0, used).sort()[used >> 1] / 1.39 + 1e-6 : 1;
    for (let i = 0; i < n; i++) robust[i] = 1 / (1 + error[i] / (4 * scatter));
  }
  let good = 0, all = 0;
  for (let i = 0; i < n; i++) { all += shifts.weight[i]; if (error[i] < 4) good += shifts.weight[i]; }
  const variance = [0, 1, 2, 3].map((a) => { const unit = [0, 0, 0, 0]; unit[a] = 1; return 2 * scatter * solve4(normal, unit)[a]; }) as SimilarityFit['variance'];
  return {
    similarity: { row: predicted.row + q[0], column: predicted.column + q[1], turn: predicted.turn + q[2], lnScale: predicted.lnScale + q[3] },
    variance, scatterPx: Math.sqrt(scatter), inlierShare: good / Math.max(all, 0.25 * n, 1e-9),
  };
}

/** Gaussian elimination with pivoting on a 4 × 4 system, with a whisper on the diagonal. */
function solve4(matrix: Float64Array, right: readonly number[]): number[] {
  const m = Array.from({ length: 4 }, (_, r) => [...matrix.subarray(r * 4, r * 4 + 4), right[r]]);
  for (let i = 0; i < 4; i++) m[i][i] = m[i][i] * (1 + 1e-9) + 1e-12;
  for (let i = 0; i < 4; i++) {
    let pivot = i;
    for (let r = i + 1; r < 4; r++) if (Math.abs(m[r][i]) > Math.abs(m[pivot][i])) pivot = r;
    [m[i], m[pivot]] = [m[pivot], m[i]];
    for (let r = 0; r < 4; r++) if (r !== i) { const f = m[r][i] / m[i][i]; for (let c = i; c < 5; c++) m[r][c] -= f * m[i][c]; }
  }
  return m.map((row, i) => row[4] / row[i]);
}
