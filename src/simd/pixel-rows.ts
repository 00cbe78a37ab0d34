import { clipCodeOf, luminanceTables } from '../image/luminance.js';
import type { Arena, Filters } from './filters.js';
import type { RootRows } from './root-rows.js';

/**
 * Decoded 8-bit pixels, averaged over bin × bin squares in linear light.
 *
 * @param pixels interleaved sRGB samples, sourceRows × sourceColumns × channels
 * @param bin pixels per measured pixel and axis
 * @throws RangeError where the platform grants too little memory for a picture of this size
 */
export function pixelRows(filters: Filters, arena: Arena, pixels: Uint8Array, sourceRows: number, sourceColumns: number, channels: number, bin: number): RootRows {
  const rows = Math.floor(sourceRows / bin), columns = Math.floor(sourceColumns / bin);
  const from = arena.take(pixels.length), tables = arena.take(6 * 1024), clipCode = clipCodeOf(256), { buffer } = filters.memory;
  new Uint8Array(buffer, from, pixels.length).set(pixels);
  luminanceTables(256, channels, bin).forEach((table, i) => {
    new Float32Array(buffer, tables + 1024 * i, 256).set(table);
    new Float32Array(buffer, tables + 1024 * (i + 3), 256).set(table.map((v, code) => (code >= clipCode ? v + 64 : v)));
  });
  let made = 0;
  return {
    rows, columns,
    fill(toRow, { out, cellPx, cellRows, cellColumns, sums, clips }) {
      filters.rootLuminance(from, sourceColumns, channels, bin, tables, made, toRow, columns, out, cellPx, cellRows, cellColumns, sums, clips);
      return made = toRow;
    },
  };
}
