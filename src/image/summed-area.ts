/** A summed-area table of cells, from which the mean over any box with fractional corners follows in four look-ups. */
export interface SummedArea { rows: number; columns: number; table: Float64Array }

/**
 * @param cells rows × columns means, each taken to hold evenly over its cell
 * @param used an area of the same size that is no longer needed: its table is filled anew
 */
export function summedArea(cells: Float32Array, rows: number, columns: number, used?: SummedArea): SummedArea {
  const width = columns + 1;
  const table = used?.table ?? new Float64Array((rows + 1) * width);
  for (let row = 0; row < rows; row++) {
    let line = 0;
    for (let column = 0; column < columns; column++) {
      line += cells[row * columns + column];
      table[(row + 1) * width + column + 1] = table[row * width + column + 1] + line;
    }
  }
  return { rows, columns, table };
}

function at({ rows, columns, table }: SummedArea, row: number, column: number): number {
  const width = columns + 1;
  const r = row >= rows ? rows - 1 : Math.floor(row), c = column >= columns ? columns - 1 : Math.floor(column);
  const fr = row - r, fc = column - c, i = r * width + c;
  return (1 - fr) * ((1 - fc) * table[i] + fc * table[i + 1]) + fr * ((1 - fc) * table[i + width] + fc * table[i + width + 1]);
}

/**
 * Mean over the box centred at (row, column) with the given edge, all in cells (cell i covers i … i+1). Parts outside the picture are left out.
 */
export function boxMean(area: SummedArea, row: number, column: number, edge: number): number {
  const top = Math.min(Math.max(row - edge / 2, 0), area.rows), bottom = Math.min(Math.max(row + edge / 2, 0), area.rows);
  const left = Math.min(Math.max(column - edge / 2, 0), area.columns), right = Math.min(Math.max(column + edge / 2, 0), area.columns);
  const size = (bottom - top) * (right - left);
  if (!(size > 0)) return 0;
  return (at(area, bottom, right) - at(area, top, right) - at(area, bottom, left) + at(area, top, left)) / size;
}
