import sharp from 'sharp';
import { beforeAll, describe, expect, it } from 'vitest';
import { jpegLayout } from '../../src/image/jpeg-layout.js';
import { linearFromSrgb } from '../../src/image/luminance.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import { Arena, type Filters } from '../../src/simd/filters.js';
import { jpegRows } from '../../src/simd/jpeg-rows.js';
import { FILTER_FILES, filterKernel } from '../helpers/filter-kernels.js';
import { jpegOfBlocks, zigzagOrder } from '../helpers/jpeg-of-blocks.js';

let filters: Filters;

interface Decoded { rows: number; columns: number; root: Float32Array; sums: Float64Array; clips: Float64Array; cellColumns: number }

const CELL_PX = 8;
function decoded(bytes: Buffer, bin: number): Decoded {
  const arena = new Arena(filters), at = arena.take(bytes.length);
  new Uint8Array(filters.memory.buffer, at, bytes.length).set(bytes);
  const picture = jpegRows(filters, arena, at, bytes.length, jpegLayout(bytes)!, bin), { rows, columns } = picture;
  const cellRows = Math.ceil(rows / CELL_PX), cellColumns = Math.ceil(columns / CELL_PX), cells = cellRows * cellColumns, out = arena.take(4 * rows * columns), sums = arena.take(8 * cells), clips = arena.take(8 * cells);
  for (const at of [sums, clips]) new Float64Array(filters.memory.buffer, at, cells).fill(0);
  for (let made = 0; made < rows;) made = picture.fill(Math.min(rows, made + 32), { out, ring: rows, cellPx: CELL_PX, cellRows, cellColumns, sums, clips });
  const { buffer } = filters.memory;
  return { rows, columns, root: new Float32Array(buffer, out, rows * columns).slice(), sums: new Float64Array(buffer, sums, cells).slice(), clips: new Float64Array(buffer, clips, cells).slice(), cellColumns };
}

describe.each(FILTER_FILES)('jpegRows by %s', (file) => {
  beforeAll(async () => { filters = await filterKernel(file); });

  // The definition itself: T.81, A.3.3 (inverse transform), T.871, clause 7 (Y is luma), IEC 61966-2-1 (its light), averaged over squares.
  it.each(([1, 2, 3, 4, 5, 6] as const).flatMap((bin) => ([[1, 1, 1, 0], [3, 2, 2, 0], [3, 2, 1, 0], [3, 1, 1, 0], [3, 2, 2, 5], [1, 2, 2, 3]] as const).map((rest) => [bin, ...rest] as const)))('gives what the standard defines: bin %i, %i components, %i × %i luma blocks a group, restarts after %i', (bin, components, across, down, restart) => {
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
    const own = decoded(jpegOfBlocks(rows, columns, components, [across, down], restart, quantiser, blockOf), bin);
    expect([own.rows, own.columns]).toEqual([Math.floor(rows / bin), Math.floor(columns / bin)]);
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
    const mean = (c: number, row: number, column: number): number => {
      let sum = 0;
      for (let i = 0; i < bin; i++) for (let j = 0; j < bin; j++) sum += sample(c, bin * row + i, bin * column + j);
      return sum / bin ** 2;
    };
    let worst = 0;
    for (let row = 0; row < own.rows; row++) for (let column = 0; column < own.columns; column++) {
      const root = Math.sqrt(linearFromSrgb(Math.min(255, Math.max(0, mean(0, row, column) + 128)) / 255));
      worst = Math.max(worst, Math.abs(own.root[row * own.columns + column] / root - 1));
    }
    // The polynomial for the tone curve is good for 1.9e-6 of the root; single precision for less.
    expect(worst).toBeLessThan(4e-6);
  });

  it.each([['4:2:0', 200, 2], ['4:4:4', 0, 2], ['4:2:0', 60, 2], ['4:2:0', 200, 1], ['4:4:4', 0, 1], ['4:2:0', 60, 1], ['4:4:4', 60, 1], ['4:2:0', 60, 3], ['4:4:4', 200, 4]] as const)('gives what the usual decoder gives, to its rounding: %s, bright places every %i pixels, bin %i', async (chromaSubsampling, bright, bin) => {
    const rows = 202, columns = 310, random = randomFrom(3), inPlace = (i: number): boolean => Math.floor(i / 3 / columns) % bright < 24 && Math.floor(i / 3) % columns % bright < 24;
    // Noise is that of light mostly: colours differ from pixel to pixel by little.
    const grain = Float64Array.from({ length: rows * columns }, random), picture = Uint8Array.from({ length: rows * columns * 3 }, (_, i) => Math.min(255, 120 + 60 * Math.sin(i / 700) + 45 * grain[Math.floor(i / 3)] + 5 * random() + (inPlace(i) ? 140 : 0)));
    const bytes = await sharp(picture, { raw: { width: columns, height: rows, channels: 3 } }).blur(0.8).jpeg({ quality: 93, chromaSubsampling }).toBuffer();
    const own = decoded(bytes, bin), { data } = await sharp(bytes).raw().toBuffer({ resolveWithObject: true });
    let squares = 0, clipped = 0, partly = 0;
    for (let row = 0; row < own.rows; row++) for (let column = 0; column < own.columns; column++) {
      const codes = [0, 1, 2].map((c) => { let sum = 0; for (let i = 0; i < bin; i++) for (let j = 0; j < bin; j++) sum += data[((bin * row + i) * columns + bin * column + j) * 3 + c]; return sum / bin ** 2; });
      // ITU-R BT.601: luma.
      const root = Math.sqrt(linearFromSrgb((0.299 * codes[0] + 0.587 * codes[1] + 0.114 * codes[2]) / 255));
      squares += (255 * (own.root[row * own.columns + column] - root)) ** 2;
      if (Math.max(...codes) >= 252) clipped++;
      let brightest = 0;
      for (let i = 0; i < bin; i++) for (let j = 0; j < bin; j++) for (let c = 0; c < 3; c++) brightest = Math.max(brightest, data[((bin * row + i) * columns + bin * column + j) * 3 + c]);
      if (brightest >= 252) partly++;
    }
    // Three roundings to 8 bits, of four pixels each, and of chroma that is interpolated in between: well below one code.
    expect(Math.sqrt(squares / own.root.length)).toBeLessThan(0.6);
    if (bright === 60) expect(clipped).toBeGreaterThan(500 / bin ** 2);
    const clips = own.clips.reduce((sum, n) => sum + n, 0);
    // Pixels beyond white are averaged before they are cut off at white: more squares count than where each pixel is cut first, but only such as hold one.
    expect(clips).toBeGreaterThanOrEqual(0.99 * clipped);
    expect(clips).toBeLessThanOrEqual(1.02 * partly);
    own.sums.forEach((sum, i) => {
      const top = Math.floor(i / own.cellColumns) * CELL_PX, left = (i % own.cellColumns) * CELL_PX;
      let expected = 0;
      for (let row = top; row < Math.min(own.rows, top + CELL_PX); row++) for (let column = left; column < Math.min(own.columns, left + CELL_PX); column++) expected += own.root[row * own.columns + column];
      expect(sum).toBeCloseTo(expected, 3);
    });
  });

  it.each(['4:4:4', '4:2:0'])('sees small places where one colour alone is clipped: %s', async (chromaSubsampling) => {
    const rows = 160, columns = 240, random = randomFrom(5), picture = Uint8Array.from({ length: rows * columns * 3 }, (_, i) => {
      const x = Math.floor(i / 3) % columns, y = Math.floor(i / 3 / columns), speck = i % 3 === 0 && x % 31 < 6 && y % 29 < 6;
      return Math.min(255, 110 + 10 * random() + (speck ? 145 : 0));
    });
    const bytes = await sharp(picture, { raw: { width: columns, height: rows, channels: 3 } }).jpeg({ quality: 96, chromaSubsampling }).toBuffer();
    const own = decoded(bytes, 1), { data } = await sharp(bytes).raw().toBuffer({ resolveWithObject: true });
    const brightPixels = (all: Uint8Array): number => { let n = 0; for (let i = 0; i < rows * columns; i++) if (Math.max(all[3 * i], all[3 * i + 1], all[3 * i + 2]) >= 252) n++; return n; };
    const clips = own.clips.reduce((sum, n) => sum + n, 0);
    expect(brightPixels(picture)).toBeGreaterThan(1000);
    // The usual decoder interpolates halved colours, which takes the tips off small specks; they are all there in the picture that was encoded.
    expect(clips).toBeGreaterThan(0.98 * brightPixels(data));
    expect(clips).toBeLessThan(1.05 * Math.max(brightPixels(picture), brightPixels(data)));
  });
});
