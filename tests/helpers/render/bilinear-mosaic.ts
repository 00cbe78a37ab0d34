/** Keeps of each pixel only the colour its filter passes (red/green over green/blue) and fills in the rest as the mean of the nearest same-coloured ones. */
export function bilinearMosaic(channels: Float32Array[], rows: number, columns: number): Float32Array[] {
  const colourAt = (row: number, column: number) => (row & 1) + (column & 1); // 0 red, 1 green, 2 blue
  return channels.map((plane, channel) => {
    const out = new Float32Array(rows * columns);
    for (let row = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++) {
        let sum = 0, count = 0;
        if (colourAt(row, column) === channel) { sum = plane[row * columns + column]; count = 1; }
        else {
          for (let r = Math.max(0, row - 1); r <= Math.min(rows - 1, row + 1); r++) {
            for (let c = Math.max(0, column - 1); c <= Math.min(columns - 1, column + 1); c++) {
              if (colourAt(r, c) !== channel || (channel === 1 && r !== row && c !== column)) continue;
              sum += plane[r * columns + c];
              count++;
            }
          }
        }
        out[row * columns + column] = sum / count;
      }
    }
    return out;
  });
}
