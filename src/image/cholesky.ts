/**
 * Cholesky factor of a symmetric positive definite matrix, in place: the lower triangle becomes L with L·Lᵀ = A.
 * A pivot that rounding has driven to zero or below is lifted to a tiny share of its diagonal, which holds that direction still.
 */
export function choleskyFactor(matrix: Float64Array, size: number): void {
  for (let j = 0; j < size; j++) {
    const diagonal = matrix[j * size + j];
    let pivot = diagonal;
    for (let k = 0; k < j; k++) pivot -= matrix[j * size + k] ** 2;
    const floor = 1e-12 * Math.abs(diagonal) + 1e-300;
    const root = Math.sqrt(pivot > floor ? pivot : floor);
    matrix[j * size + j] = root;
    for (let i = j + 1; i < size; i++) {
      let v = matrix[i * size + j];
      for (let k = 0; k < j; k++) v -= matrix[i * size + k] * matrix[j * size + k];
      matrix[i * size + j] = v / root;
    }
  }
}

/** x of A·x = right, A symmetric positive definite (size × size, kept), with a whisper of its trace added for safety. */
export function choleskySolve(matrix: Float64Array, right: Float64Array, size: number): Float64Array {
  const factor = lifted(matrix, size);
  choleskyFactor(factor, size);
  const x = right.slice();
  solveFactored(factor, 0, size, x, 0);
  return x;
}

/** Inverse of a symmetric positive definite matrix. */
export function choleskyInverse(matrix: Float64Array, size: number): Float64Array {
  const factor = lifted(matrix, size), inverse = new Float64Array(size * size);
  choleskyFactor(factor, size);
  for (let i = 0; i < size; i++) { inverse[i * size + i] = 1; solveFactored(factor, 0, size, inverse, i * size); }
  return inverse;
}

function lifted(matrix: Float64Array, size: number): Float64Array {
  const copy = matrix.slice();
  let trace = 0;
  for (let i = 0; i < size; i++) trace += matrix[i * size + i];
  for (let i = 0; i < size; i++) copy[i * size + i] += (1e-9 * trace) / size;
  return copy;
}

/**
 * Solves L·Lᵀ·x = v in place, for a factor and a vector that may stand anywhere in larger arrays.
 *
 * @param factor holds L (size × size, lower) from `at` on
 * @param x holds v, then the solution, from `from` on
 */
export function solveFactored(factor: Float64Array, at: number, size: number, x: Float64Array, from = 0): void {
  for (let i = 0; i < size; i++) {
    let v = x[from + i];
    for (let j = 0; j < i; j++) v -= factor[at + i * size + j] * x[from + j];
    x[from + i] = v / factor[at + i * size + i];
  }
  for (let i = size - 1; i >= 0; i--) {
    let v = x[from + i];
    for (let j = i + 1; j < size; j++) v -= factor[at + j * size + i] * x[from + j];
    x[from + i] = v / factor[at + i * size + i];
  }
}
