import type { Report } from '../contract/report.js';
import type { ProfilePoint } from '../optics/depth-profile.js';

type Cell = string | number | boolean | null;

/** Steps in depth order as CSV (RFC 4180), lengths in DOF and µm; what is not known stays empty. */
export function stepsCsv(report: Report): string {
  const { frames } = report.stack;
  return csv([
    ['from', 'to', 'step_dof', 'sigma_dof', 'step_um', 'overlap', 'grade', 'at_least', 'soft_area_share', 'surface_share'],
    ...report.steps.map((s) => [frames[s.from].file, frames[s.to].file, s.stepDof, s.sigmaDof, s.stepUm, s.overlap, s.grade, s.atLeast, s.softAreaShare, s.surfaceShare]),
  ]);
}

/** Frames in file order as CSV, with their number in depth order (from 1). */
export function framesCsv(report: Report): string {
  const { frames, order } = report.stack;
  const place = new Map(order.map((index, k) => [index, k + 1]));
  return csv([
    ['file', 'depth_order', 'position_dof', 'sigma_dof', 'position_um', 'exposure_ev', 'shift_row_px', 'shift_column_px', 'contrast', 'flags'],
    ...frames.map((f, i) => [f.file, place.get(i) ?? null, f.positionDof, f.positionSigmaDof, f.positionUm, f.exposureEv, f.shiftPx.row, f.shiftPx.column, f.contrast, f.flags.join(' ')]),
  ]);
}

/** Depths along a line in the picture as CSV; what could not be measured stays empty. */
export function profileCsv(points: readonly ProfilePoint[]): string {
  return csv([['distance_px', 'distance_um', 'depth_dof', 'depth_um'], ...points.map((p) => [p.distancePx, p.distanceUm, p.depthDof, p.depthUm])]);
}

/** Lines ended by CR LF; cells quoted where they must be, and where a table program would take a file name for a formula. */
export function csv(rows: readonly (readonly Cell[])[]): string {
  return rows.map((row) => row.map(cellText).join(',')).join('\r\n') + '\r\n';
}

function cellText(cell: Cell): string {
  if (cell === null) return '';
  if (typeof cell !== 'string') return String(cell);
  const safe = /^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell;
  return /[",\n\r]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
