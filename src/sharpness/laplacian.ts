/**
 * The 3×3 Laplacian [1 4 1; 4 −20 4; 1 4 1]/6, whose response is isotropic to fourth order; edges are mirrored.
 * Response −(20 − 8cos a − 8cos b − 4cos a·cos b)/6 with a, b = 2πf on the two axes.
 */
export function laplacian(picture: Float32Array, rows: number, columns: number): Float32Array {
  const out = new Float32Array(rows * columns);
  const last = columns - 1;
  for (let row = 0; row < rows; row++) {
    const mid = row * columns, up = row > 0 ? mid - columns : mid, down = row < rows - 1 ? mid + columns : mid;
    for (let x = 1; x < last; x++) {
      const edge = picture[up + x] + picture[down + x] + picture[mid + x - 1] + picture[mid + x + 1];
      const corner = picture[up + x - 1] + picture[up + x + 1] + picture[down + x - 1] + picture[down + x + 1];
      out[mid + x] = (4 * edge + corner - 20 * picture[mid + x]) * (1 / 6);
    }
    for (const x of last > 0 ? [0, last] : [0]) {
      const left = Math.max(0, x - 1), right = Math.min(last, x + 1);
      const edge = picture[up + x] + picture[down + x] + picture[mid + left] + picture[mid + right];
      const corner = picture[up + left] + picture[up + right] + picture[down + left] + picture[down + right];
      out[mid + x] = (4 * edge + corner - 20 * picture[mid + x]) / 6;
    }
  }
  return out;
}

/** Magnitude of the response of {@link laplacian} at the given frequencies in cycles per pixel. */
export function laplacianResponse(rowFrequency: number, columnFrequency: number): number {
  return laplacianOfCosines(Math.cos(2 * Math.PI * rowFrequency), Math.cos(2 * Math.PI * columnFrequency));
}

/** The same from the cosines of 2π times the frequencies. */
export function laplacianOfCosines(a: number, b: number): number { return (20 - 8 * a - 8 * b - 4 * a * b) / 6; }
