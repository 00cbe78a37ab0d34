import type { MeasurePlan } from '../sharpness/measure-plan.js';
import { median } from './statistics.js';

/** Depth spread inside every tile's box, per band, and the roughness exponent it was scaled by. */
export interface DepthSpread { perBand: Float64Array[]; roughness: number }

/**
 * Depth spread inside tiles from the local variance of the depth map (3 × 3 tiles), scaled from the distance of tiles to the size of
 * each band's box by the surface's roughness exponent H = ½·log₂(D(2)/D(1)), D the squared median difference at 1 and 2 tiles.
 *
 * @param depth rows × columns, DOF; NaN where unknown
 */
export function depthSpread(depth: Float64Array, rows: number, columns: number, plan: MeasurePlan): DepthSpread {
  const differences = (distance: number): number => {
    const values: number[] = [];
    for (let r = 0; r < rows; r++) for (let c = 0; c < columns; c++) {
      const here = depth[r * columns + c];
      if (Number.isNaN(here)) continue;
      if (c + distance < columns) { const d = Math.abs(here - depth[r * columns + c + distance]); if (!Number.isNaN(d)) values.push(d); }
      if (r + distance < rows) { const d = Math.abs(here - depth[(r + distance) * columns + c]); if (!Number.isNaN(d)) values.push(d); }
    }
    return values.length ? Math.max(median(values) ** 2, 1e-9) : 1;
  };
  const roughness = Math.min(1, Math.max(0.3, 0.5 * Math.log2(differences(2) / differences(1))));
  const tilePx = plan.cellPx * 2, window = (tilePx ** 2 * 2) / 3;
  const scale = plan.bands.map((band) => {
    const blur = 1 / (2 * Math.PI * band.centre) * Math.sqrt(4 * band.order);
    return ((band.boxPx ** 2 / 12 + blur ** 2 / 2) / window) ** roughness;
  });
  const perBand = plan.bands.map(() => new Float64Array(rows * columns));
  for (let r = 0; r < rows; r++) for (let c = 0; c < columns; c++) {
    let n = 0, sum = 0, square = 0;
    for (let i = r - 1; i <= r + 1; i++) for (let j = c - 1; j <= c + 1; j++) {
      const d = depth[Math.min(rows - 1, Math.max(0, i)) * columns + Math.min(columns - 1, Math.max(0, j))];
      if (!Number.isNaN(d)) { n++; sum += d; square += d * d; }
    }
    if (n < 2) continue;
    const variance = Math.max(0, square / n - (sum / n) ** 2) * (n / (n - 1));
    for (let b = 0; b < scale.length; b++) perBand[b][r * columns + c] = Math.sqrt(variance * scale[b]);
  }
  return { perBand, roughness };
}
