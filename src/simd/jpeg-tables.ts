import type { JpegCodes } from '../image/jpeg-layout.js';

/** As in assembly/code-tables.ts: where the symbols stand in a code table, and a record by zigzag index. */
const SYMBOLS = (8 << 11) + 2 * 68, RECORD = 8;
/** Bytes of one code table in memory. */
export const CODES_BYTES = SYMBOLS + 256 + 16;
/** Bytes of the table that walks over blocks. */
export const SKIPS_BYTES = 2 << 13;
/** A component's records begin so far behind a multiple of so many bytes; those behind the first 64 are for an end of block and what damaged values may lead to. */
export const RECORDS_STEP = 256 * RECORD, RECORDS_OFFSET = 65 * RECORD;

/** Row and column of each index of the zigzag order (ITU-T T.81, figure 5). */
const zigzag = (() => {
  const places: [number, number][] = [];
  for (let sum = 0; sum < 15; sum++) for (let i = 0; i <= sum; i++) {
    const row = sum % 2 ? i : sum - i;
    if (row < 8 && sum - row < 8) places.push([row, sum - row]);
  }
  return places;
})();

/** Puts a Huffman table where the kernel lays it out. */
export function writeCodes(buffer: ArrayBuffer, at: number, { counts, symbols }: JpegCodes): void {
  new Uint8Array(buffer, at + SYMBOLS, 256).set(symbols);
  new Uint8Array(buffer, at + SYMBOLS + 256, 16).set(counts);
}

/**
 * Weight of frequency u along an axis, and where it stands. Four pixels along a block's edge: the mean of two neighbours turns wave u of eight into wave min(u, 8 − u) of four, with
 * the sign of a wave seen beyond its limit.
 */
function axis(u: number, edge: 4 | 8): { at: number; factor: number } {
  const whole = 0.5 * (u === 0 ? Math.SQRT1_2 : 1), share = whole * Math.cos((u * Math.PI) / 16);
  if (edge === 8) return { at: u, factor: whole };
  return u < 4 ? { at: u, factor: share } : u === 4 ? { at: 0, factor: 0 } : { at: 8 - u, factor: -share };
}

/**
 * Writes where each number of a block is added and what it is multiplied with, by zigzag index; blocks stand column by column.
 * @param step a multiple of RECORDS_STEP, where so many bytes are free
 * @param room address of the block; @param edge its pixels along an edge
 */
export function writeRecords(buffer: ArrayBuffer, step: number, room: number, quantiser: Uint16Array, edge: 4 | 8): void {
  new Float32Array(buffer, step, RECORDS_STEP / 4).fill(0);
  const places = new Uint32Array(buffer, step, RECORDS_STEP / 4), factors = new Float32Array(buffer, step + RECORDS_OFFSET);
  for (let i = 0; i < places.length; i += 2) places[i] = room;
  zigzag.forEach(([row, column], k) => {
    const down = axis(row, edge), across = axis(column, edge);
    places[2 * k + RECORDS_OFFSET / 4] = room + 4 * (across.at * edge + down.at);
    factors[2 * k + 1] = quantiser[k] * down.factor * across.factor;
  });
}
