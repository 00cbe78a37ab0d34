import type { BandPlan, MeasurePlan } from './measure-plan.js';

/** Centre of the fine band as a share of the cutoff: fine enough to tell a tenth of a DOF, coarse enough to stand above the noise. */
const FINE_SHARE = 0.28;
/** No band sits higher than this many cycles per pixel: above it, pixels and their Laplacian are no longer isotropic. */
const TOP_FREQUENCY = 0.25;
/** Binning never leaves fewer measured pixels than this: a small picture needs its tiles. */
const LEAST_MEASURED_PIXELS = 1.2e6;
const TILE_PX = 16;
const MOST_TILES = 24_500;
const REGISTRATION_EDGE = 512;
/** The coarser the band the larger its box, so that the bands rest on comparable numbers of independent components. */
const BOX_SHARE = [1, 1.25, 1.75] as const;
const ORDERS = [2, 3, 3] as const;

/**
 * Chooses binning, bands and tiles for a stack.
 *
 * @param rows, columns of a frame in source pixels
 * @param cutoff of the lens in cycles per source pixel
 */
export function planMeasurement(rows: number, columns: number, cutoff: number): MeasurePlan {
  if (!(cutoff > 0.005)) throw new RangeError(`the cutoff must be above 0.005 cycles per pixel, got ${cutoff}`);
  let bin = Math.max(1, Math.floor(TOP_FREQUENCY / (FINE_SHARE * cutoff)));
  while (bin > 1 && (rows * columns) / bin ** 2 < LEAST_MEASURED_PIXELS) bin--;
  const fine = Math.min(FINE_SHARE * cutoff * bin, TOP_FREQUENCY);
  const measuredRows = Math.floor(rows / bin), measuredColumns = Math.floor(columns / bin);
  const tilePx = TILE_PX * Math.ceil(Math.sqrt((measuredRows * measuredColumns) / TILE_PX ** 2 / MOST_TILES));
  const cellPx = tilePx / 2;
  const bands = ORDERS.map((order, i): BandPlan => {
    const centre = fine / 2 ** i;
    const level = Math.min(Math.floor(Math.log2(TOP_FREQUENCY / centre) + 1e-9), Math.floor(Math.log2(cellPx)));
    return { centre, order, level, boxPx: BOX_SHARE[i] * tilePx };
  });
  const registrationLevel = Math.max(0, Math.ceil(Math.log2(Math.max(measuredRows, measuredColumns) / REGISTRATION_EDGE)));
  return { bin, cutoff: cutoff * bin, bands, cellPx, registrationLevel };
}
