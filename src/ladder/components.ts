import type { MeasurePlan } from '../sharpness/measure-plan.js';

/**
 * Independent components behind the energy of one tile in a band, at least 1: box² · 2π f² s √π, s = 1/√(4n) the relative width of a band of order n.
 */
export function componentsOf({ order, boxPx, centre }: MeasurePlan['bands'][number]): number {
  return Math.max(1, boxPx ** 2 * 2 * Math.PI * centre ** 2 * (1 / Math.sqrt(4 * order)) * Math.sqrt(Math.PI));
}
