import type { MeasurePlan } from './measure-plan.js';

/** Tiles over a frame: two by two cells each, one row and column at least; a rest of less than half a tile is left out. */
export function tileGrid(plan: MeasurePlan, rows: number, columns: number): { tilePx: number; gridRows: number; gridColumns: number } {
  const tilePx = plan.cellPx * 2, count = (length: number): number => Math.max(1, Math.floor((length + tilePx / 2) / tilePx));
  return { tilePx, gridRows: count(rows), gridColumns: count(columns) };
}
