/**
 * Mean of a picture (or of its squares) over square cells; cells cut off at the right and lower edge take the mean of what they hold.
 *
 * @param cellPx edge of a cell in pixels of this picture
 * @returns ceil(rows/cellPx) × ceil(columns/cellPx) means, but never more cells than `cellRows` × `cellColumns` where these are given
 */
export function cellMeans(picture: ArrayLike<number>, rows: number, columns: number, cellPx: number, squared = false,
  cellRows = Math.ceil(rows / cellPx), cellColumns = Math.ceil(columns / cellPx)): Float32Array {
  const sum = new Float64Array(cellRows * cellColumns);
  const count = new Float64Array(cellRows * cellColumns);
  for (let row = 0; row < rows; row++) {
    const cells = Math.min(cellRows - 1, Math.floor(row / cellPx)) * cellColumns;
    for (let column = 0, cell = 0; column < columns; cell++) {
      const stop = cell === cellColumns - 1 ? columns : Math.min(columns, (cell + 1) * cellPx);
      let part = 0;
      const n = stop - column;
      for (let i = row * columns + column, end = row * columns + stop; i < end; i++) part += squared ? picture[i] * picture[i] : picture[i];
      sum[cells + cell] += part;
      count[cells + cell] += n;
      column = stop;
    }
  }
  const out = new Float32Array(sum.length);
  for (let i = 0; i < out.length; i++) out[i] = count[i] > 0 ? sum[i] / count[i] : 0;
  return out;
}
