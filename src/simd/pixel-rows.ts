import { clipCodeOf, LUMA } from '../image/luminance.js';
import type { Arena, Filters } from './filters.js';
import type { RootRows } from './root-rows.js';

/** As in assembly/filters.ts: more than any luma. */
const CLIP_MARK = 1024;

/**
 * Decoded 8-bit pixels, averaged over bin × bin squares.
 *
 * @param pixels interleaved sRGB samples, sourceRows × sourceColumns × channels
 * @param bin pixels per measured pixel and axis
 * @throws RangeError where the platform grants too little memory for a picture of this size
 */
export function pixelRows(filters: Filters, arena: Arena, pixels: Uint8Array, sourceRows: number, sourceColumns: number, channels: number, bin: number): RootRows {
  const rows = Math.floor(sourceRows / bin), columns = Math.floor(sourceColumns / bin);
  const from = arena.take(pixels.length), tables = arena.take(6 * 1024), clipCode = clipCodeOf(256), { buffer } = filters.memory;
  new Uint8Array(buffer, from, pixels.length).set(pixels);
  LUMA.forEach((weight, i) => {
    // Grey pictures look at the first table alone.
    const share = (channels >= 3 ? weight : 1) / (bin * bin);
    new Float32Array(buffer, tables + 1024 * i, 256).set(Float32Array.from({ length: 256 }, (_, code) => share * code));
    new Float32Array(buffer, tables + 1024 * (i + 3), 256).set(Float32Array.from({ length: 256 }, (_, code) => share * code + (code >= clipCode ? CLIP_MARK : 0)));
  });
  let made = 0;
  return {
    rows, columns,
    fill(toRow, { out, ring, cellPx, cellRows, cellColumns, sums, clips }) {
      filters.rootLuminance(from, sourceColumns, channels, bin, tables, made, toRow, columns, out, ring, cellPx, cellRows, cellColumns, sums, clips);
      return made = toRow;
    },
  };
}
