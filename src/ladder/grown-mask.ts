/** A mask (0 or 1) of a tile grid with the tiles around its own, corners included. */
export function grownMask(mask: Uint8Array, rows: number, columns: number): Uint8Array {
  const out = new Uint8Array(mask.length);
  // Most masks are sparse: their tiles are sought by the platform.
  for (let at = mask.indexOf(1); at >= 0; at = mask.indexOf(1, at + 1)) {
    const r = Math.floor(at / columns), c = at - r * columns, left = c > 0 ? 1 : 0, right = c < columns - 1 ? 1 : 0;
    for (let y = r > 0 ? r - 1 : 0, i = y * columns + c; y <= r + 1 && y < rows; y++, i += columns) { out[i - left] = 1; out[i] = 1; out[i + right] = 1; }
  }
  return out;
}
