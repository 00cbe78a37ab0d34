import type { Random } from '../render/random.js';

/** Facets or grains: every grid point belongs to its nearest seed and takes that cell's values. Wraps around. */
export interface CellPattern {
  /** −1 … 1, the same over a cell. */
  shade: Float32Array;
  /** Direction of the cell, radians. */
  angle: Float32Array;
  /** 0 … 1, the same over a cell. */
  phase: Float32Array;
  /** Which cell. */
  cell: Int32Array;
}

/** @param sizePx mean distance between seeds in grid points */
export function cellPattern(rows: number, columns: number, sizePx: number, random: Random): CellPattern {
  const boxRows = Math.max(3, Math.round(rows / sizePx)), boxColumns = Math.max(3, Math.round(columns / sizePx));
  const count = boxRows * boxColumns;
  const seeds = Array.from({ length: count }, (_, k) => ({
    row: (Math.floor(k / boxColumns) + random.between(0.05, 0.95)) * (rows / boxRows),
    column: (k % boxColumns + random.between(0.05, 0.95)) * (columns / boxColumns),
    shade: random.between(-1, 1), angle: random.between(0, Math.PI), phase: random.between(0, 1),
  }));
  const size = rows * columns;
  const out: CellPattern = { shade: new Float32Array(size), angle: new Float32Array(size), phase: new Float32Array(size), cell: new Int32Array(size) };
  for (let row = 0; row < rows; row++) {
    const boxRow = Math.floor((row * boxRows) / rows);
    for (let column = 0; column < columns; column++) {
      const boxColumn = Math.floor((column * boxColumns) / columns);
      let nearest = 0, least = Infinity;
      for (let dr = -2; dr <= 2; dr++) {
        for (let dc = -2; dc <= 2; dc++) {
          const k = ((boxRow + dr + boxRows) % boxRows) * boxColumns + ((boxColumn + dc + boxColumns) % boxColumns);
          const away = Math.abs(seeds[k].row - row), across = Math.abs(seeds[k].column - column);
          const distance = Math.min(away, rows - away) ** 2 + Math.min(across, columns - across) ** 2;
          if (distance < least) { least = distance; nearest = k; }
        }
      }
      const i = row * columns + column;
      out.shade[i] = seeds[nearest].shade;
      out.angle[i] = seeds[nearest].angle;
      out.phase[i] = seeds[nearest].phase;
      out.cell[i] = nearest;
    }
  }
  return out;
}
