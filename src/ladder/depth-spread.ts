import type { MeasurePlan } from '../sharpness/measure-plan.js';

/** Fewer neighbours than this tell no slope. */
const LEAST_FOR_PLANE = 6;
/**
 * Part of the squared deviation of neighbouring tiles from their plane that lies inside one tile's fine box, and how it grows with the
 * box (twice the roughness exponent of natural relief). Both found on rendered relief of known depth.
 */
const INSIDE_SHARE = 0.65, GROWTH = 0.8;
/** Variance of a squared slope's two parts from nine depths of variance 1: Σx² is 6 along each axis. */
const SLOPE_NOISE = 2 / 6;
/** Squared radius a band's filter adds to its box, in units of (√(4n)/2πf)²: ¼ for an isotropic ring, more as defocus widens it. */
const FILTER_SHARE = 0.35;

/**
 * Depth spread inside every tile's box, per band (standard deviation): the local plane's slope across the box, which noise in the depths hardly touches, and
 * the roughness about that plane. From the 3 × 3 tiles around each; what their own uncertainty pretends of both is taken off.
 *
 * @param depth rows × columns; NaN where unknown
 * @param variance of a known depth
 * @returns per band, rows × columns, in the unit of `depth`; 0 where fewer than two neighbours are known
 */
export function depthSpread(depth: Float64Array, rows: number, columns: number, plan: MeasurePlan, variance = 0): Float64Array[] {
  const tilePx = plan.cellPx * 2;
  const windows = plan.bands.map((band) => band.boxPx ** 2 / 12 + (FILTER_SHARE * 4 * band.order) / (2 * Math.PI * band.centre) ** 2);
  const slopeShare = windows.map((window) => window / tilePx ** 2);
  const roughShare = windows.map((window) => INSIDE_SHARE * (window / windows[0]) ** GROWTH);
  const perBand = plan.bands.map(() => new Float64Array(rows * columns));
  for (let r = 0; r < rows; r++) for (let c = 0; c < columns; c++) {
    const local = localPlane(depth, rows, columns, r, c);
    if (!local) continue;
    perBand.forEach((spread, b) => { spread[r * columns + c] = Math.sqrt(Math.max(0, local.slopeSquared - SLOPE_NOISE * variance) * slopeShare[b] + Math.max(0, local.roughSquared - variance) * roughShare[b]); });
  }
  return perBand;
}

/**
 * Squared slope at every tile, depth per measured pixel.
 *
 * @param depth rows × columns; NaN where unknown
 * @param variance of a known depth
 * @returns 0 where fewer than two neighbours are known
 */
export function slopesSquared(depth: Float64Array, rows: number, columns: number, plan: MeasurePlan, variance = 0): Float64Array {
  const out = new Float64Array(rows * columns);
  for (let r = 0; r < rows; r++) for (let c = 0; c < columns; c++) {
    const local = localPlane(depth, rows, columns, r, c);
    if (local) out[r * columns + c] = Math.max(0, local.slopeSquared - SLOPE_NOISE * variance) / (2 * plan.cellPx) ** 2;
  }
  return out;
}

/** Squared slope per tile and mean squared deviation from the plane; null: too little known. */
function localPlane(depth: Float64Array, rows: number, columns: number, row: number, column: number): { slopeSquared: number; roughSquared: number } | null {
  let n = 0, x = 0, y = 0, z = 0, xx = 0, yy = 0, xy = 0, xz = 0, yz = 0, zz = 0;
  for (let i = -1; i <= 1; i++) for (let j = -1; j <= 1; j++) {
    const r = row + i, c = column + j;
    if (r < 0 || r >= rows || c < 0 || c >= columns) continue;
    const d = depth[r * columns + c];
    if (Number.isNaN(d)) continue;
    n++; x += j; y += i; z += d; xx += j * j; yy += i * i; xy += i * j; xz += j * d; yz += i * d; zz += d * d;
  }
  if (n < 2) return null;
  xx -= (x * x) / n; yy -= (y * y) / n; xy -= (x * y) / n; xz -= (x * z) / n; yz -= (y * z) / n; zz = Math.max(0, zz - (z * z) / n);
  const determinant = xx * yy - xy * xy;
  // Too few or in a line: as a slope in the direction they show.
  if (n < LEAST_FOR_PLANE || determinant < 1) return { slopeSquared: zz / Math.max(1, xx + yy), roughSquared: 0 };
  const slopeX = (xz * yy - yz * xy) / determinant, slopeY = (yz * xx - xz * xy) / determinant;
  return { slopeSquared: slopeX ** 2 + slopeY ** 2, roughSquared: Math.max(0, zz - slopeX * xz - slopeY * yz) / (n - 3) };
}
