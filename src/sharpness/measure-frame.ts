import { cellMeans } from '../image/cell-means.js';
import { convolveSeparable } from '../image/convolve-separable.js';
import { halve } from '../image/halve.js';
import type { LumaPlane } from '../image/luma-plane.js';
import { bandResponse } from './band-response.js';
import { bandSigmaPx, gaussianHalfKernel } from './gaussian-kernel.js';
import { laplacian } from './laplacian.js';
import type { BandPlan, PlainMeasure, MeasurePlan } from './measure-plan.js';
import { spectrumWindows } from './spectrum-windows.js';

/** Centre of the band frames are registered on, in cycles per pixel of the registration picture. */
export const REGISTRATION_CENTRE = 0.16;

interface Level { rows: number; columns: number; pixels: Float32Array }

/** Energy of one band in cells: the variance of the Laplacian at the scale the band names, its peak response scaled to 1. */
function bandEnergy(level: Level, band: BandPlan, cellPx: number, cellRows: number, cellColumns: number): Float32Array {
  const half = gaussianHalfKernel(bandSigmaPx(band.centre * 2 ** band.level, band.order));
  let response = convolveSeparable(level.pixels, level.rows, level.columns, half);
  for (let i = 0; i < band.order; i++) response = laplacian(response, level.rows, level.columns);
  return cellMeans(response, level.rows, level.columns, cellPx / 2 ** band.level, true, cellRows, cellColumns);
}

/** Low-frequency detail that moderate defocus neither removes nor reverses, brightness taken out. */
function registrationPixels({ rows, columns, pixels }: Level, mean: number): Float32Array {
  const smooth = convolveSeparable(pixels, rows, columns, gaussianHalfKernel(bandSigmaPx(REGISTRATION_CENTRE, 1)));
  return laplacian(smooth, rows, columns).map((v) => v / mean);
}

/**
 * Measures one frame: band energies, brightness and clipping in cells, FFT spectra of windows, and a small picture for registration.
 * The square root of luminance makes shot noise the same at every brightness; everything is relative to the frame's mean.
 */
export function measureFrame(plane: LumaPlane, plan: MeasurePlan): PlainMeasure {
  const { rows, columns } = plane;
  const root = new Float32Array(rows * columns);
  let sum = 0;
  for (let i = 0; i < root.length; i++) { const v = Math.sqrt(plane.luminance[i]); root[i] = v; sum += v; }
  const mean = Math.max(sum / root.length, 1e-6);
  const cellRows = Math.ceil(rows / plan.cellPx), cellColumns = Math.ceil(columns / plan.cellPx);
  const brightness = cellMeans(root, rows, columns, plan.cellPx);
  for (let i = 0; i < brightness.length; i++) brightness[i] /= mean;
  // The bands pass no constant; without it, single precision rounds far below the noise.
  for (let i = 0; i < root.length; i++) root[i] -= mean;
  const levels: Level[] = [{ rows, columns, pixels: root }];
  const depth = Math.max(plan.registrationLevel, ...plan.bands.map((band) => band.level));
  for (let i = 0; i < depth; i++) levels.push(halve(levels[i].pixels, levels[i].rows, levels[i].columns));
  const energy = plan.bands.map((band) => {
    const cells = bandEnergy(levels[band.level], band, plan.cellPx, cellRows, cellColumns);
    const factor = (bandResponse(band).scale / mean) ** 2;
    for (let i = 0; i < cells.length; i++) cells[i] *= factor;
    return cells;
  });
  const small = levels[plan.registrationLevel];
  const registration = { rows: small.rows, columns: small.columns, pixels: registrationPixels(small, mean) };
  return {
    rows, columns, cellRows, cellColumns, energy, brightness,
    clipped: cellMeans(plane.clipped, rows, columns, plan.cellPx),
    meanRoot: mean, registration,
    spectra: levels.map(({ rows: r, columns: c, pixels }, level) => (plan.bands.some((band) => band.level === level) ? spectrumWindows(pixels, r, c, mean) : null)),
  };
}
