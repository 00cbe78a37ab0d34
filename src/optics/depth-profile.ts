import type { Report } from '../contract/report.js';

export interface PicturePoint { row: number; column: number }

/** A straight line in the picture. */
export interface ProfileLine { from: PicturePoint; to: PicturePoint }

/** One sample of a profile; depths are null where the surface could not be measured. */
export interface ProfilePoint {
  /** Along the line from its start, in pixels of a frame and, where magnification and pixel pitch are known, on the subject. */
  distancePx: number;
  distanceUm: number | null;
  depthDof: number | null;
  depthUm: number | null;
}

/**
 * Depth of the subject along a straight line drawn in the picture, sampled every half tile, between tile centres bilinearly.
 *
 * @param from @param to ends in pixels of a frame; parts outside the picture have no depth
 * @returns two samples at least, the ends among them
 */
export function depthProfile(report: Report, from: PicturePoint, to: PicturePoint): ProfilePoint[] {
  const { tilePx } = report.tiles;
  const { magnification, pixelPitchUm, dofUm } = report.optics;
  const lengthPx = Math.hypot(to.row - from.row, to.column - from.column);
  const count = Math.max(1, Math.ceil(lengthPx / (tilePx / 2)));
  const umPerPx = magnification.value === null || pixelPitchUm.value === null ? null : pixelPitchUm.value / magnification.value;
  return Array.from({ length: count + 1 }, (_, i) => {
    const part = i / count;
    const depthDof = depthAt(report, from.row + (to.row - from.row) * part, from.column + (to.column - from.column) * part);
    return {
      distancePx: lengthPx * part,
      distanceUm: umPerPx === null ? null : lengthPx * part * umPerPx,
      depthDof,
      depthUm: depthDof === null || dofUm.value === null ? null : depthDof * dofUm.value,
    };
  });
}

/** Weighted by nearness over the four tiles around that have a depth; null where the tile under the point has none. */
function depthAt(report: Report, row: number, column: number): number | null {
  const { rows, columns, tilePx } = report.tiles;
  const known = (r: number, c: number): number | null => {
    const i = r * columns + c;
    return r < 0 || c < 0 || r >= rows || c >= columns || report.tiles.state[i] === 'no-detail' ? null : report.tiles.depthDof[i] ?? null;
  };
  if (known(Math.floor(row / tilePx), Math.floor(column / tilePx)) === null) return null;
  const y = row / tilePx - 0.5;
  const x = column / tilePx - 0.5;
  let sum = 0;
  let weights = 0;
  for (const r of [Math.floor(y), Math.floor(y) + 1]) for (const c of [Math.floor(x), Math.floor(x) + 1]) {
    const depth = known(r, c);
    const weight = (1 - Math.abs(y - r)) * (1 - Math.abs(x - c));
    if (depth === null) continue;
    sum += depth * weight;
    weights += weight;
  }
  return weights > 0 ? sum / weights : null;
}
