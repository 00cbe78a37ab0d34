import { readFileSync } from 'node:fs';
import sharp from 'sharp';
import { beforeAll, describe, expect, it } from 'vitest';
import { jpegLayout } from '../../src/image/jpeg-layout.js';
import { linearFromSrgb } from '../../src/image/luminance.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import { Arena, loadFilters, type Filters } from '../../src/simd/filters.js';
import { jpegRows } from '../../src/simd/jpeg-rows.js';
import { jpegOfBlocks, zigzagOrder } from '../helpers/jpeg-of-blocks.js';

let filters: Filters;
beforeAll(async () => { filters = await loadFilters(readFileSync(new URL('../../dist/simd/filters.wasm', import.meta.url))); });

interface Decoded { rows: number; columns: number; root: Float32Array; sums: Float64Array; clips: Float64Array; cellColumns: number }

const CELL_PX = 8;
function decoded(bytes: Buffer): Decoded {
  const arena = new Arena(filters), at = arena.take(bytes.length);
  new Uint8Array(filters.memory.buffer, at, bytes.length).set(bytes);
  const picture = jpegRows(filters, arena, at, bytes.length, jpegLayout(bytes)!), { rows, columns } = picture;
  const cellRows = Math.ceil(rows / CELL_PX), cellColumns = Math.ceil(columns / CELL_PX), cells = cellRows * cellColumns, out = arena.take(4 * rows * columns), sums = arena.take(8 * cells), clips = arena.take(8 * cells);
  for (const at of [sums, clips]) new Float64Array(filters.memory.buffer, at, cells).fill(0);
  for (let made = 0; made < rows;) made = picture.fill(Math.min(rows, made + 32), { out, cellPx: CELL_PX, cellRows, cellColumns, sums, clips });
  const { buffer } = filters.memory;
  return { rows, columns, root: new Float32Array(buffer, out, rows * columns).slice(), sums: new Float64Array(buffer, sums, cells).slice(), clips: new Float64Array(buffer, clips, cells).slice(), cellColumns };
}

describe('jpegRows', () => {
  // The definition itself: T.81, A.3.3 (inverse transform), T.871, clause 7 (Y is luma), IEC 61966-2-1 (its light), averaged two by two.
  it.each([[1, 1, 1, 0], [3, 2, 2, 0], [3, 2, 1, 0], [3, 1, 1, 0], [3, 2, 2, 5], [1, 2, 2, 3]] as const)('gives what the standard defines: %i components, %i × %i luma blocks a group, restarts after %i', (components, across, down, restart) => {
    const rows = 53, columns = 75, random = randomFrom(11 + across + down);
    const quantiser = Array.from({ length: 64 }, (_, k) => 3 + (k >> 2)), blocks = new Map<string, number[]>();
    const blockOf = (c: number, row: number, column: number): number[] => {
      const key = `${c}/${row}/${column}`, spread = c ? 12 : 40, kind = random();
      const made = blocks.get(key) ?? quantiser.map((q, k) => {
        const share = kind < 0.2 ? (k === 0 ? 1 : 0) : kind < 0.5 ? (k < 10 ? 1 : 0) : random() < 0.4 ? 1 : 0;
        return Math.round(((random() - 0.5) * 8 * spread * share) / q / (1 + k / 2));
      });
      blocks.set(key, made);
      return made;
    };
    const own = decoded(jpegOfBlocks(rows, columns, components, [across, down], restart, quantiser, blockOf));
    expect([own.rows, own.columns]).toEqual([rows >> 1, columns >> 1]);
    const cosine = Array.from({ length: 8 }, (_, x) => Array.from({ length: 8 }, (_, u) => (u ? 0.5 : Math.SQRT1_2 / 2) * Math.cos(((2 * x + 1) * u * Math.PI) / 16)));
    const samples = new Map<string, number[]>();
    const sample = (c: number, row: number, column: number): number => {
      const key = `${c}/${row >> 3}/${column >> 3}`;
      if (!samples.has(key)) {
        const block = blocks.get(key)!;
        samples.set(key, Array.from({ length: 64 }, (_, i) => { let sum = 0; zigzagOrder.forEach(([a, b], k) => { sum += block[k] * quantiser[k] * cosine[i >> 3][a] * cosine[i & 7][b]; }); return sum; }));
      }
      return samples.get(key)![(row & 7) * 8 + (column & 7)];
    };
    // Mean of a component over the place of one averaged pixel.
    const mean = (c: number, row: number, column: number): number => (sample(c, 2 * row, 2 * column) + sample(c, 2 * row, 2 * column + 1) + sample(c, 2 * row + 1, 2 * column) + sample(c, 2 * row + 1, 2 * column + 1)) / 4;
    let worst = 0;
    for (let row = 0; row < own.rows; row++) for (let column = 0; column < own.columns; column++) {
      const root = Math.sqrt(linearFromSrgb(Math.min(255, Math.max(0, mean(0, row, column) + 128)) / 255));
      worst = Math.max(worst, Math.abs(own.root[row * own.columns + column] / root - 1));
    }
    // The polynomial for the tone curve is good for 1.35e-6 of the root; single precision for less.
    expect(worst).toBeLessThan(4e-6);
  });

  it.each([['4:2:0', 2000], ['4:4:4', 0], ['4:2:0', 60]] as const)('gives what the usual decoder gives, to its rounding: %s', async (chromaSubsampling, bright) => {
    const rows = 202, columns = 310, random = randomFrom(3), picture = Uint8Array.from({ length: rows * columns * 3 }, (_, i) => Math.min(255, 120 + 60 * Math.sin(i / 700) + 50 * random() + (i % bright < 30 ? 140 : 0)));
    const bytes = await sharp(picture, { raw: { width: columns, height: rows, channels: 3 } }).blur(0.8).jpeg({ quality: 93, chromaSubsampling }).toBuffer();
    const own = decoded(bytes), { data } = await sharp(bytes).raw().toBuffer({ resolveWithObject: true });
    let squares = 0, clipped = 0;
    for (let row = 0; row < own.rows; row++) for (let column = 0; column < own.columns; column++) {
      const codes = [0, 1, 2].map((c) => { let sum = 0; for (const [i, j] of [[0, 0], [0, 1], [1, 0], [1, 1]]) sum += data[((2 * row + i) * columns + 2 * column + j) * 3 + c]; return sum / 4; });
      // ITU-R BT.601: luma.
      const root = Math.sqrt(linearFromSrgb((0.299 * codes[0] + 0.587 * codes[1] + 0.114 * codes[2]) / 255));
      squares += (255 * (own.root[row * own.columns + column] - root)) ** 2;
      if (Math.max(...codes) >= 252) clipped++;
    }
    // Three roundings to 8 bits, of four pixels each, and of chroma that is interpolated in between: well below one code.
    expect(Math.sqrt(squares / own.root.length)).toBeLessThan(0.6);
    const clips = own.clips.reduce((sum, n) => sum + n, 0);
    expect(Math.abs(clips - clipped)).toBeLessThan(Math.max(2, 0.1 * clipped));
    own.sums.forEach((sum, i) => {
      const top = Math.floor(i / own.cellColumns) * CELL_PX, left = (i % own.cellColumns) * CELL_PX;
      let expected = 0;
      for (let row = top; row < Math.min(own.rows, top + CELL_PX); row++) for (let column = left; column < Math.min(own.columns, left + CELL_PX); column++) expected += own.root[row * own.columns + column];
      expect(sum).toBeCloseTo(expected, 3);
    });
  });
});
