import type { JpegCodes } from '../image/jpeg-layout.js';

/** As in assembly/jpeg.ts: bits looked up at a time, the parts of a code table, a record by zigzag index, and how far an end of block leads on. */
const LOOK = 11, ENDS = 8 << LOOK, BEGINS = ENDS + 68, SYMBOLS = BEGINS + 68, RECORD = 8, ENDING = 65 * RECORD;
/** Bytes of one code table in memory. */
export const CODES_BYTES = SYMBOLS + 256;
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

/**
 * Lays a Huffman table out for the decoder: the next eleven bits lead to what their code stands for together with the value after it, and to as
 * much again where it fits.
 *
 * @param dc symbols are sizes only, and nothing follows; else they are zeros before a value, and its size (T.81, F.1.2)
 */
export function writeCodes(buffer: ArrayBuffer, at: number, { counts, symbols }: JpegCodes, dc: boolean): void {
  const look = new Uint32Array(buffer, at, 2 << LOOK).fill(0), ends = new Int32Array(buffer, at + ENDS, 17), begins = new Int32Array(buffer, at + BEGINS, 17);
  new Uint8Array(buffer, at + SYMBOLS, 256).set(symbols);
  ends.fill(0);
  const singles = new Uint32Array(1 << LOOK), known = new Uint32Array(1 << LOOK);
  for (let length = 1, code = 0, index = 0; length <= 16; length++, code <<= 1) {
    begins[length] = index - code;
    for (let i = 0; i < counts[length - 1]; i++, code++, index++) if (length <= LOOK) {
      for (let rest = 0; rest < 1 << (LOOK - length); rest++) {
        const bits = (code << (LOOK - length)) | rest;
        singles[bits] = single(bits, length, symbols[index], dc);
        known[bits] = (symbols[index] << 8) | length;
      }
    }
    ends[length] = code << (16 - length);
  }
  for (let bits = 0; bits < 1 << LOOK; bits++) {
    const first = singles[bits], taken = first & 63, to = 2 * turned[bits];
    if (taken === 0) { look[to + 1] = known[bits]; continue; }
    const second = dc || first >> 6 === ENDING ? 0 : singles[(bits << taken) & ((1 << LOOK) - 1)], both = taken + (second & 63);
    // The bits behind those that are known were taken as zeros.
    const fits = (second & 63) > 0 && both <= LOOK;
    look[to] = (first & ~63) | (fits ? both : taken);
    look[to + 1] = (fits ? second & ~63 : 0) | taken;
  }
}

/** A symbol and its value as half an entry; 0 where they take more bits than are looked up, or the symbol is none of a baseline picture. */
function single(bits: number, length: number, symbol: number, dc: boolean): number {
  const size = dc ? symbol : symbol & 15, run = dc ? 0 : symbol >> 4, spare = LOOK - length - size;
  // A value of no bits stands for the end of the block, or for 16 zeros (T.81, F.1.2.2.1).
  if (spare < 0 || (!dc && size === 0 && run > 0 && run < 15)) return 0;
  const on = !dc && size === 0 && run === 0 ? ENDING : RECORD * (run + 1), value = (bits >> spare) & ((1 << size) - 1);
  return (((size && value < 1 << (size - 1) ? value + 1 - (1 << size) : value) << 16) | (on << 6) | (length + size)) >>> 0;
}

/** The bits of an index the other way round: the stream's first bit is the lowest. */
const turned = Uint16Array.from({ length: 1 << LOOK }, (_, i) => { let out = 0; for (let bit = 0; bit < LOOK; bit++) if ((i >> bit) & 1) out |= 1 << (LOOK - 1 - bit); return out; });

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
