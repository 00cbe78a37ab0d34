/**
 * Halves a picture after the binomial filter [1 3 3 1]/8 on each axis, so that output pixel i covers input pixels 2i and 2i+1
 * symmetrically. Amplitude response cos³(πf) per axis, f in cycles per input pixel. Edges are mirrored; an odd last row or column is dropped.
 *
 * @param picture rows × columns
 * @returns floor(rows/2) × floor(columns/2)
 */
export function halve(picture: Float32Array, rows: number, columns: number): { rows: number; columns: number; pixels: Float32Array } {
  const outRows = rows >> 1, outColumns = columns >> 1;
  if (outRows < 1 || outColumns < 1) throw new RangeError(`a picture of ${columns}×${rows} pixels can't be halved`);
  const pixels = new Float32Array(outRows * outColumns);
  const line = new Float32Array(columns);
  for (let row = 0; row < outRows; row++) {
    const b = 2 * row * columns, c = b + columns;
    const a = row > 0 ? b - columns : b, d = 2 * row + 2 < rows ? c + columns : c;
    for (let x = 0; x < columns; x++) line[x] = picture[a + x] + picture[d + x] + 3 * (picture[b + x] + picture[c + x]);
    const out = row * outColumns;
    for (let x = 0; x < outColumns; x++) {
      const i = 2 * x;
      const left = i > 0 ? line[i - 1] : line[i], right = i + 2 < columns ? line[i + 2] : line[i + 1];
      pixels[out + x] = (left + right + 3 * (line[i] + line[i + 1])) / 64;
    }
  }
  return { rows: outRows, columns: outColumns, pixels };
}
