import { clipCodeOf, luminanceTables } from '../image/luminance.js';
import { bandResponse } from '../sharpness/band-response.js';
import { bandSigmaPx, gaussianHalfKernel } from '../sharpness/gaussian-kernel.js';
import { REGISTRATION_CENTRE } from '../sharpness/measure-frame.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';
import { spectrumWindows } from '../sharpness/spectrum-windows.js';
import { Arena, type Filters } from './filters.js';

interface Level { rows: number; columns: number; at: number }

/**
 * measureFrame(luminanceFromPixels(…)) for 8-bit pixels, in SIMD WebAssembly: the same numbers to single precision, several times as fast.
 *
 * @param pixels interleaved sRGB samples, rows × columns × channels
 */
export function fastMeasure(filters: Filters, arena: Arena, pixels: Uint8Array, sourceRows: number, sourceColumns: number, channels: number, plan: MeasurePlan): FrameMeasure {
  arena.reset();
  const { bin, cellPx } = plan, rows = Math.floor(sourceRows / bin), columns = Math.floor(sourceColumns / bin), size = rows * columns;
  const root = arena.take(4 * size), clipped = arena.take(size), line = arena.take(4 * (columns + 128)), kernel = arena.take(4 * 64), tables = arena.take(3 * 1024);
  const levels: Level[] = [{ rows, columns, at: root }];
  const depth = Math.max(plan.registrationLevel, ...plan.bands.map((band) => band.level));
  for (let i = 0; i < depth; i++) { const { rows: r, columns: c } = levels[i]; levels.push({ rows: r >> 1, columns: c >> 1, at: arena.take(4 * (r >> 1) * (c >> 1)) }); }
  const cellRows = Math.ceil(rows / cellPx), cellColumns = Math.ceil(columns / cellPx), cells = cellRows * cellColumns, sums = arena.take(8 * cells);
  const first = Math.min(...plan.bands.map((band) => band.level)), largest = levels[Math.min(first, plan.registrationLevel)];
  const spare = arena.take(4 * largest.rows * largest.columns);
  // The pixels are needed only until the luminance is made; the room they took then serves as scratch.
  const scratch = arena.take(Math.max(pixels.length, 4 * largest.rows * largest.columns));
  new Uint8Array(filters.memory.buffer, scratch, pixels.length).set(pixels);
  luminanceTables(256, channels, bin).forEach((table, i) => new Float32Array(filters.memory.buffer, tables + 1024 * i, 256).set(table));
  const mean = Math.max(filters.rootLuminance(scratch, sourceColumns, channels, bin, tables, clipCodeOf(256), rows, columns, root, clipped) / size, 1e-6);
  const cellMean = (at: number, level: Level, cell: number, squared: boolean, factor: number): Float32Array => {
    new Float64Array(filters.memory.buffer, sums, cells).fill(0);
    filters.cellSums(at, level.rows, level.columns, cell, cellRows, cellColumns, squared ? 1 : 0, sums);
    return divided(level.rows, level.columns, cell, factor);
  };
  const divided = (r: number, c: number, cell: number, factor: number): Float32Array => {
    const total = new Float64Array(filters.memory.buffer, sums, cells), out = new Float32Array(cells);
    for (let i = 0; i < cellRows; i++) for (let j = 0; j < cellColumns; j++) {
      const n = extent(i, cellRows, r, cell) * extent(j, cellColumns, c, cell);
      out[i * cellColumns + j] = n > 0 ? (total[i * cellColumns + j] / n) * factor : 0;
    }
    return out;
  };
  const brightness = cellMean(root, levels[0], cellPx, false, 1 / mean);
  // The bands pass no constant; without it, single precision rounds far below the noise.
  filters.subtract(root, size, mean);
  for (let i = 0; i < depth; i++) filters.halve(levels[i].at, levels[i].rows, levels[i].columns, line, levels[i + 1].at);

  /** Gaussian, then the Laplacian `order` times; returns where the response stands. */
  const filtered = (level: Level, sigmaPx: number, order: number): number => {
    const half = gaussianHalfKernel(sigmaPx);
    new Float32Array(filters.memory.buffer, kernel, half.length).set(half);
    filters.convolve(level.at, level.rows, level.columns, kernel, half.length - 1, scratch, line, spare);
    let from = spare, to = scratch;
    for (let i = 0; i < order; i++) { filters.laplacian(from, level.rows, level.columns, to); [from, to] = [to, from]; }
    return from;
  };
  const energy = plan.bands.map((band) => {
    const level = levels[band.level];
    return cellMean(filtered(level, bandSigmaPx(band.centre * 2 ** band.level, band.order), band.order), level, cellPx / 2 ** band.level, true, (bandResponse(band).scale / mean) ** 2);
  });
  new Float64Array(filters.memory.buffer, sums, cells).fill(0);
  filters.cellMarks(clipped, rows, columns, cellPx, cellRows, cellColumns, sums);
  const marks = divided(rows, columns, cellPx, 1);
  const small = levels[plan.registrationLevel], response = filtered(small, bandSigmaPx(REGISTRATION_CENTRE, 1), 1);
  const registration = { rows: small.rows, columns: small.columns, pixels: new Float32Array(filters.memory.buffer, response, small.rows * small.columns).map((v) => v / mean) };
  return {
    rows, columns, cellRows, cellColumns, energy, brightness, clipped: marks, meanRoot: mean, registration,
    windows: spectrumWindows(new Float32Array(filters.memory.buffer, root, size), rows, columns, mean),
  };
}

/** Pixels of cell i along an axis: the last cell takes what is left. */
function extent(i: number, count: number, length: number, cell: number): number {
  const from = Math.min(length, i * cell);
  return (i === count - 1 ? length : Math.min(length, from + cell)) - from;
}
