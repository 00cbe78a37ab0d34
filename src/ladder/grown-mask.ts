/** A mask of a tile grid with the tiles around its own, corners included. */
export function grownMask(mask: Uint8Array, rows: number, columns: number): Uint8Array {
  const out = new Uint8Array(mask.length);
  for (let r = 0, i = 0; r < rows; r++) for (let c = 0; c < columns; c++, i++) {
    if (!mask[i]) continue;
    for (let y = Math.max(0, r - 1); y <= Math.min(rows - 1, r + 1); y++) for (let x = Math.max(0, c - 1); x <= Math.min(columns - 1, c + 1); x++) out[y * columns + x] = 1;
  }
  return out;
}
