import FFT from 'fft.js';

const BLOCK_COLUMNS = 8; // columns gathered together, so that each cache line is read once

/** FFT of whole pictures, power-of-two sizes; complex planes are interleaved (re, im), row by row. */
export class FftPlane {
  private readonly alongRow: FFT;
  private readonly alongColumn: FFT;
  private readonly rowOut: Float64Array;
  private readonly columnIn: Float64Array[];
  private readonly columnOut: Float64Array;

  constructor(readonly rows: number, readonly columns: number) {
    this.alongRow = new FFT(columns);
    this.alongColumn = new FFT(rows);
    this.rowOut = new Float64Array(2 * columns);
    this.columnIn = Array.from({ length: BLOCK_COLUMNS }, () => new Float64Array(2 * rows));
    this.columnOut = new Float64Array(2 * rows);
  }

  /** Transforms `plane` (length 2·rows·columns) where it is. Unscaled. */
  forward(plane: Float64Array): void { this.run(plane, false); }

  /** Inverse of `forward`, scaled by 1/(rows·columns). */
  inverse(plane: Float64Array): void { this.run(plane, true); }

  private run(plane: Float64Array, inverse: boolean): void {
    const { rows, columns, rowOut, columnIn, columnOut } = this;
    for (let row = 0; row < rows; row++) {
      const line = plane.subarray(2 * row * columns, 2 * (row + 1) * columns);
      if (isZero(line)) continue; // most layers of a scene fill only part of the picture
      if (inverse) this.alongRow.inverseTransform(rowOut, line);
      else this.alongRow.transform(rowOut, line);
      line.set(rowOut);
    }
    for (let first = 0; first < columns; first += BLOCK_COLUMNS) {
      const width = Math.min(BLOCK_COLUMNS, columns - first);
      for (let row = 0; row < rows; row++) {
        let from = 2 * (row * columns + first);
        for (let c = 0; c < width; c++) {
          columnIn[c][2 * row] = plane[from++];
          columnIn[c][2 * row + 1] = plane[from++];
        }
      }
      for (let c = 0; c < width; c++) {
        if (inverse) this.alongColumn.inverseTransform(columnOut, columnIn[c]);
        else this.alongColumn.transform(columnOut, columnIn[c]);
        columnIn[c].set(columnOut);
      }
      for (let row = 0; row < rows; row++) {
        let to = 2 * (row * columns + first);
        for (let c = 0; c < width; c++) {
          plane[to++] = columnIn[c][2 * row];
          plane[to++] = columnIn[c][2 * row + 1];
        }
      }
    }
  }
}

function isZero(line: Float64Array): boolean {
  for (let i = 0; i < line.length; i++) if (line[i] !== 0) return false;
  return true;
}

/** Signed frequency of FFT bin `index` in cycles per sample. */
export function binFrequency(index: number, size: number): number {
  return (index <= size / 2 ? index : index - size) / size;
}
