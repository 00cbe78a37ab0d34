import type { Report } from '../contract/report.js';
import { UserError } from '../contract/errors.js';

/** Tile depths as 16-bit levels: 0 not known, else depth = nearest + (level − 1) × perLevel. */
export interface HeightMap {
  rows: number;
  columns: number;
  /** Row by row, 0 … 65535. */
  levels: Uint16Array;
  unit: 'µm' | 'DOF';
  /** Depth of level 1, from the nearest frame's plane of focus. */
  nearest: number;
  /** Depth from one level to the next: 1, 2 or 5 times a power of ten. */
  perLevel: number;
  /** Edge of a pixel of the map on the subject, or null where magnification or pixel pitch are not known. */
  pixelUm: number | null;
  /** The scale in words, as it is written into the file. */
  description: string;
}

const TOP_LEVEL = 65_535;

/**
 * The depths a stack was measured to have, one pixel a tile.
 *
 * @throws UserError where no tile has a depth
 */
export function heightMapOf(report: Report): HeightMap {
  const { tiles, optics } = report;
  const perDof = optics.dofUm.value ?? 1;
  const depths = tiles.depthDof.map((depth, i) => (depth === null || tiles.state[i] === 'no-detail' ? null : depth * perDof));
  const known = depths.filter((depth) => depth !== null);
  if (known.length === 0) throw new UserError('No depth was measured, so there is no height map to save.', 'Light from the side brings out more of the surface.');
  const nearest = known.reduce((low, depth) => Math.min(low, depth), Infinity);
  const range = known.reduce((high, depth) => Math.max(high, depth), -Infinity) - nearest;
  const perLevel = niceAtLeast(Math.max(range, perDof / 1000) / (TOP_LEVEL - 1));
  const levels = Uint16Array.from(depths, (depth) => (depth === null ? 0 : 1 + Math.round((depth - nearest) / perLevel)));
  const pixelUm = optics.magnification.value === null || optics.pixelPitchUm.value === null ? null : (tiles.tilePx * optics.pixelPitchUm.value) / optics.magnification.value;
  const unit = optics.dofUm.value === null ? 'DOF' : 'µm';
  return { rows: tiles.rows, columns: tiles.columns, levels, unit, nearest, perLevel, pixelUm, description: descriptionOf(unit, nearest, perLevel, pixelUm) };
}

/** Plain ASCII, because the TIFF tag allows no more. */
function descriptionOf(unit: HeightMap['unit'], nearest: number, perLevel: number, pixelUm: number | null): string {
  const ascii = unit === 'µm' ? 'um' : 'depths of field';
  const lateral = pixelUm === null ? 'size of a pixel on the subject not known' : `one pixel is ${Number(pixelUm.toPrecision(6))} um on the subject`;
  return `Depth away from the camera: level 0 not known, else depth = ${Number(nearest.toPrecision(7))} + (level - 1) * ${perLevel} ${ascii}; ${lateral}.`;
}

/** The smallest of 1, 2, 5 × 10ⁿ that is not below `value`. */
function niceAtLeast(value: number): number {
  const exponent = Math.floor(Math.log10(value));
  for (const factor of [1, 2, 5, 10]) {
    // Written as text so that 5e-3 is exactly that and not 0.0050000000000000001.
    const nice = Number(`${factor}e${exponent}`);
    if (nice >= value) return nice;
  }
  return Number(`1e${exponent + 1}`);
}
