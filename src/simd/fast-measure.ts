import { bandResponse } from '../sharpness/band-response.js';
import { bandSigmaPx, gaussianHalfKernel } from '../sharpness/gaussian-kernel.js';
import { REGISTRATION_CENTRE } from '../sharpness/measure-frame.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';
import { fastSpectra, type FastSpectra } from './fast-spectra.js';
import type { Arena, Filters } from './filters.js';
import type { RootRows } from './root-rows.js';

/** A level of the pyramid: of most only the last rows are kept, row r at r modulo `ring`. `made`: rows that were there. */
interface Level { rows: number; columns: number; ring: number; at: number; made: number; spectra: FastSpectra | null }

/** Rows made before they are filtered, halved and let go: few enough to stay in the processor's cache. */
const STRIP_ROWS = 32;
/** Rows of a level that are kept: a strip, what a decoder makes beyond it (up to two blocks), and what halving still needs. */
const RING_ROWS = 64;
/** As in assembly/filters.ts. */
const BAND_FIELDS = 15;

/** A filter on one level, and where what it is told lies. */
interface Band { order: number; level: number; half: Float64Array; at: number; kernel: number; scratch: number; sums: number; out: number }

/**
 * measureFrame of a picture's rows, compact, in SIMD WebAssembly: the same numbers to single precision, several times as fast. No level is ever there as a whole
 * but the small one that frames are registered on.
 *
 * @param picture its own memory is taken from the arena already
 * @throws RangeError where the platform grants too little memory for a picture of this size
 */
export function fastMeasure(filters: Filters, arena: Arena, picture: RootRows, plan: MeasurePlan): FrameMeasure {
  const { cellPx } = plan, { rows, columns } = picture, depth = Math.max(plan.registrationLevel, ...plan.bands.map((band) => band.level)), levels: Level[] = [];
  for (let level = 0, r = rows, c = columns; level <= depth; level++, r >>= 1, c >>= 1) {
    const ring = level === plan.registrationLevel ? r : Math.min(r, RING_ROWS);
    levels.push({ rows: r, columns: c, ring, at: arena.take(4 * ring * c), made: 0, spectra: plan.bands.some((band) => band.level === level) ? fastSpectra(filters, arena, r, c) : null });
  }
  const cellRows = Math.ceil(rows / cellPx), cellColumns = Math.ceil(columns / cellPx), cells = cellRows * cellColumns;
  const sums = arena.take(8 * cells), clips = arena.take(8 * cells), codes = arena.take(2 * cells), line = arena.take(4 * (columns + 32)) + 64;
  const small = levels[plan.registrationLevel], response = arena.take(4 * small.rows * small.columns), pixels = arena.take(2 * small.rows * small.columns);
  const bandOn = (centre: number, order: number, level: number, sums: number, out: number): Band => {
    const half = gaussianHalfKernel(bandSigmaPx(centre, order));
    return { order, level, half, at: arena.take(4 * BAND_FIELDS), kernel: arena.take(4 * 64), scratch: arena.take(filters.bandScratch(levels[level].columns, half.length - 1, order)), sums, out };
  };
  const bands = plan.bands.map(({ centre, order, level }) => bandOn(centre * 2 ** level, order, level, arena.take(8 * cells), 0)), toRegister = bandOn(REGISTRATION_CENTRE, 1, plan.registrationLevel, 0, response);
  // All memory is taken by now.
  const { buffer } = filters.memory;
  for (const at of [sums, clips, ...bands.map((band) => band.sums)]) new Float64Array(buffer, at, cells).fill(0);
  const start = ({ order, level, half, at, kernel, scratch, sums, out }: Band, mean: number): void => {
    const { rows: r, columns: c, ring, at: from } = levels[level];
    new Float32Array(buffer, kernel, half.length).set(half);
    new Int32Array(buffer, at, BAND_FIELDS).set([from, ring, r, c, kernel, half.length - 1, order, scratch, cellPx / 2 ** level, cellRows, cellColumns, sums, out, 0, 0]);
    new Float32Array(buffer, at, BAND_FIELDS)[13] = mean;
  };
  for (let top = 0; top < rows; top += STRIP_ROWS) {
    levels.forEach((level, i) => {
      const before = level.made;
      if (i === 0) level.made = picture.fill(Math.min(rows, top + STRIP_ROWS), { out: level.at, ring: level.ring, cellPx, cellRows, cellColumns, sums, clips });
      else {
        const from = levels[i - 1];
        // A row needs the one below its own two; the last is mirrored.
        level.made = Math.max(before, from.made === from.rows ? level.rows : Math.min(level.rows, (from.made - 1) >> 1));
        if (level.made > before) filters.halve(from.at, from.ring, from.rows, from.columns, line, before, level.made, level.at, level.ring);
      }
      level.spectra?.take(level.at, level.ring, before, level.made);
    });
    if (top === 0) for (const band of bands) start(band, meanSoFar());
    for (const band of bands) filters.bandRows(band.at, levels[band.level].made);
  }
  const mean = Math.max(filters.cellTotal(sums, cells) / (rows * columns), 1e-6);
  const codesOf = (from: number, level: Level, cell: number, factor: number): Uint16Array => {
    filters.cellCodes(from, cellRows, cellColumns, level.rows, level.columns, cell, factor, codes);
    return new Uint16Array(buffer, codes, cells).slice();
  };
  const brightness = codesOf(sums, levels[0], cellPx, 1 / mean), someClipped = filters.cellShares(clips, cellRows, cellColumns, rows, columns, cellPx, codes);
  const clipped = someClipped ? new Uint8Array(buffer, codes, cells).slice() : null;
  const energy = bands.map((band, b) => codesOf(band.sums, levels[band.level], cellPx / 2 ** band.level, (bandResponse(plan.bands[b]).scale / mean) ** 2));
  start(toRegister, mean);
  filters.bandRows(toRegister.at, small.rows);
  filters.integerPixels(response, small.rows * small.columns, pixels);
  const registration = { rows: small.rows, columns: small.columns, pixels: new Int16Array(buffer, pixels, small.rows * small.columns).slice() };
  return { rows, columns, cellRows, cellColumns, energy, brightness, clipped, meanRoot: mean, registration, spectra: levels.map(({ spectra }) => spectra?.spectra(mean) ?? null) };

  /** Of the rows that fill whole cells. */
  function meanSoFar(): number {
    const whole = Math.floor(levels[0].made / cellPx);
    return whole ? filters.cellTotal(sums, whole * cellColumns) / (whole * cellPx * columns) : 0;
  }
}
