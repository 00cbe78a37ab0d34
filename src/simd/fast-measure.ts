import { bandResponse } from '../sharpness/band-response.js';
import { bandSigmaPx, gaussianHalfKernel } from '../sharpness/gaussian-kernel.js';
import { REGISTRATION_CENTRE } from '../sharpness/measure-frame.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';
import { fastSpectra } from './fast-spectra.js';
import type { Arena, Filters } from './filters.js';
import type { RootRows } from './root-rows.js';

interface Level { rows: number; columns: number; at: number }

/** Rows made before the next level is halved from them: few enough to stay in the processor's cache. */
const STRIP_ROWS = 32;

/**
 * measureFrame of a picture's rows, compact, in SIMD WebAssembly: the same numbers to single precision, several times as fast.
 *
 * @param picture its own memory is taken from the arena already
 * @throws RangeError where the platform grants too little memory for a picture of this size
 */
export function fastMeasure(filters: Filters, arena: Arena, picture: RootRows, plan: MeasurePlan): FrameMeasure {
  const { cellPx } = plan, { rows, columns } = picture, size = rows * columns;
  const depth = Math.max(plan.registrationLevel, ...plan.bands.map((band) => band.level));
  const levels: Level[] = [{ rows, columns, at: arena.take(4 * size) }];
  for (let i = 0; i < depth; i++) { const { rows: r, columns: c } = levels[i]; levels.push({ rows: r >> 1, columns: c >> 1, at: arena.take(4 * (r >> 1) * (c >> 1)) }); }
  const cellRows = Math.ceil(rows / cellPx), cellColumns = Math.ceil(columns / cellPx), cells = cellRows * cellColumns;
  const sums = arena.take(8 * cells), clips = arena.take(8 * cells), codes = arena.take(2 * cells), kernel = arena.take(4 * 64), line = arena.take(4 * (columns + 32)) + 64;
  const kernels = plan.bands.map((band) => ({ order: band.order, level: band.level, half: gaussianHalfKernel(bandSigmaPx(band.centre * 2 ** band.level, band.order)) }));
  const toRegister = { order: 1, level: plan.registrationLevel, half: gaussianHalfKernel(bandSigmaPx(REGISTRATION_CENTRE, 1)) };
  const most = Math.max(...[...kernels, toRegister].map(({ order, level, half }) => filters.bandScratch(levels[level].columns, half.length - 1, order)));
  const small = levels[plan.registrationLevel];
  const response = arena.take(4 * small.rows * small.columns), pixels = arena.take(2 * small.rows * small.columns), scratch = arena.take(most);
  const { buffer } = filters.memory;
  const totals = new Float64Array(buffer, sums, cells).fill(0);
  new Float64Array(buffer, clips, cells).fill(0);
  const made = new Int32Array(depth + 1);
  for (let top = 0; top < rows; top += STRIP_ROWS) {
    made[0] = picture.fill(Math.min(rows, top + STRIP_ROWS), { out: levels[0].at, cellPx, cellRows, cellColumns, sums, clips });
    for (let i = 0; i < depth; i++) {
      const from = levels[i], to = levels[i + 1];
      // A row needs the one below its own two; the last is mirrored.
      const ready = made[i] === from.rows ? to.rows : Math.min(to.rows, (made[i] - 1) >> 1);
      if (ready > made[i + 1]) filters.halve(from.at, from.rows, from.columns, line, made[i + 1], ready, to.at);
      made[i + 1] = Math.max(made[i + 1], ready);
    }
  }
  const mean = Math.max(filters.cellTotal(sums, cells) / size, 1e-6);
  const codesOf = (from: number, level: Level, cell: number, factor: number): Uint16Array => {
    filters.cellCodes(from, cellRows, cellColumns, level.rows, level.columns, cell, factor, codes);
    return new Uint16Array(buffer, codes, cells).slice();
  };
  const brightness = codesOf(sums, levels[0], cellPx, 1 / mean), someClipped = filters.cellShares(clips, cellRows, cellColumns, rows, columns, cellPx, codes);
  const clipped = someClipped ? new Uint8Array(buffer, codes, cells).slice() : null;
  // The bands pass no constant; without the mean, single precision rounds far below the noise.
  const filtered = ({ order, level, half }: typeof toRegister, out: number): void => {
    const { rows: r, columns: c, at } = levels[level];
    new Float32Array(buffer, kernel, half.length).set(half);
    filters.bandRows(at, r, c, mean, kernel, half.length - 1, order, scratch, cellPx / 2 ** level, cellRows, cellColumns, sums, out);
  };
  const energy = kernels.map((band, b) => {
    totals.fill(0);
    filtered(band, 0);
    return codesOf(sums, levels[band.level], cellPx / 2 ** band.level, (bandResponse(plan.bands[b]).scale / mean) ** 2);
  });
  filtered(toRegister, response);
  filters.integerPixels(response, small.rows * small.columns, pixels);
  const registration = { rows: small.rows, columns: small.columns, pixels: new Int16Array(buffer, pixels, small.rows * small.columns).slice() };
  return {
    rows, columns, cellRows, cellColumns, energy, brightness, clipped, meanRoot: mean, registration,
    spectra: levels.map(({ rows: r, columns: c, at }, level) => (plan.bands.some((band) => band.level === level) ? fastSpectra(filters, arena, at, r, c, mean) : null)),
  };
}
