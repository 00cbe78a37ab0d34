/** Unsharp mask of 1 px radius on the square root of light, as cameras sharpen after their tone curve. */
export function inCameraSharpen(plane: Float32Array, rows: number, columns: number, strength: number): Float32Array {
  const root = plane.map((v) => Math.sqrt(Math.max(0, v)));
  const soft = blur(root, rows, columns, 1);
  return root.map((v, i) => Math.max(0, v + strength * (v - soft[i])) ** 2);
}

/** Noise reduction that keeps strong detail: each pixel moves towards its neighbourhood's mean the less it stands out. */
export function inCameraDenoise(plane: Float32Array, rows: number, columns: number, radiusPx: number): Float32Array {
  const soft = blur(plane, rows, columns, radiusPx);
  let squares = 0;
  for (let i = 0; i < plane.length; i++) squares += (plane[i] - soft[i]) ** 2;
  const typical = Math.sqrt(squares / plane.length) + 1e-9;
  return plane.map((v, i) => {
    const detail = v - soft[i];
    return soft[i] + detail * (1 - 0.6 * Math.exp(-((detail / typical) ** 2)));
  });
}

/** Separable Gaussian blur, edges repeated. */
export function blur(plane: Float32Array, rows: number, columns: number, sigmaPx: number): Float32Array {
  const half = Math.ceil(3 * sigmaPx);
  const weights = Array.from({ length: 2 * half + 1 }, (_, k) => Math.exp(-0.5 * ((k - half) / sigmaPx) ** 2));
  const total = weights.reduce((a, b) => a + b, 0);
  const across = new Float32Array(plane.length), out = new Float32Array(plane.length);
  for (let r = 0; r < rows; r++) for (let c = 0; c < columns; c++) {
    let sum = 0;
    for (let k = -half; k <= half; k++) sum += weights[k + half] * plane[r * columns + Math.min(columns - 1, Math.max(0, c + k))];
    across[r * columns + c] = sum / total;
  }
  for (let r = 0; r < rows; r++) for (let c = 0; c < columns; c++) {
    let sum = 0;
    for (let k = -half; k <= half; k++) sum += weights[k + half] * across[Math.min(rows - 1, Math.max(0, r + k)) * columns + c];
    out[r * columns + c] = sum / total;
  }
  return out;
}
