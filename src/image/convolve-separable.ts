/** Index mirrored into 0 … n−1 about the outer pixels' outer edges (… 1 0 | 0 1 …). */
export function mirrorIndex(i: number, n: number): number {
  const period = 2 * n;
  const j = ((i % period) + period) % period;
  return j < n ? j : period - 1 - j;
}

/**
 * Convolves both axes with the same symmetric kernel; edges are mirrored.
 *
 * @param picture rows × columns
 * @param half the kernel from its centre outwards: half[0] + 2·(half[1] + half[2] + …) is its sum
 * @returns rows × columns
 */
export function convolveSeparable(picture: Float32Array, rows: number, columns: number, half: ArrayLike<number>): Float32Array {
  const reach = half.length - 1;
  const across = new Float32Array(rows * columns), out = new Float32Array(rows * columns);
  const padded = new Float32Array(columns + 2 * reach);
  for (let row = 0; row < rows; row++) {
    const start = row * columns;
    padded.set(picture.subarray(start, start + columns), reach);
    for (let i = 1; i <= reach; i++) {
      padded[reach - i] = picture[start + mirrorIndex(-i, columns)];
      padded[reach + columns - 1 + i] = picture[start + mirrorIndex(columns - 1 + i, columns)];
    }
    for (let x = 0; x < columns; x++) {
      const c = x + reach;
      let sum = half[0] * padded[c];
      for (let i = 1; i <= reach; i++) sum += half[i] * (padded[c - i] + padded[c + i]);
      across[start + x] = sum;
    }
  }
  for (let row = 0; row < rows; row++) {
    const start = row * columns;
    const h0 = half[0];
    for (let x = 0; x < columns; x++) out[start + x] = h0 * across[start + x];
    for (let i = 1; i <= reach; i++) {
      const h = half[i], above = mirrorIndex(row - i, rows) * columns, below = mirrorIndex(row + i, rows) * columns;
      for (let x = 0; x < columns; x++) out[start + x] += h * (across[above + x] + across[below + x]);
    }
  }
  return out;
}
