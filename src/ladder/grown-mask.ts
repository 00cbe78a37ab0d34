import { withKernel } from './fast-kernel.js';

/** A mask (0 or 1) of a tile grid with the tiles around its own, corners included. */
export function grownMask(mask: Uint8Array, rows: number, columns: number): Uint8Array { return fastGrown(mask, rows, columns) ?? plainGrown(mask, rows, columns); }

function plainGrown(mask: Uint8Array, rows: number, columns: number): Uint8Array {
  const out = new Uint8Array(mask.length);
  for (let r = 0, i = 0; r < rows; r++) for (let c = 0; c < columns; c++, i++) {
    if (!mask[i]) continue;
    for (let y = Math.max(0, r - 1); y <= Math.min(rows - 1, r + 1); y++) for (let x = Math.max(0, c - 1); x <= Math.min(columns - 1, c + 1); x++) out[y * columns + x] = 1;
  }
  return out;
}

/** The same in WebAssembly; null where there is none, or no room. */
function fastGrown(mask: Uint8Array, rows: number, columns: number): Uint8Array | null {
  return withKernel(({ kernel, arena }) => {
    const maskAt = arena.take(mask.length), outAt = arena.take(mask.length), { buffer } = kernel.memory, out = new Uint8Array(buffer, outAt, mask.length).fill(0);
    new Uint8Array(buffer, maskAt, mask.length).set(mask);
    kernel.growMask(maskAt, rows, columns, outAt);
    return out.slice();
  });
}
