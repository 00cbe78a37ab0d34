import { fastOtherShares } from './fast-look-around.js';
import type { TileStack } from './tile-stack.js';

/** Neighbours this much nearer or farther, DOF, belong to another surface. */
const OTHER_SURFACE_DOF = 0.8;
/** Share of such neighbours that halves a tile's say. */
const HALF_SHARE = 0.12;

/**
 * How far each tile's energy in each band is its own: near an edge in depth the filter gathers detail of the other surface, which is
 * sharp in other frames, and the coarser the band the farther it reaches.
 *
 * @param depth of the tile grid, DOF; NaN where unknown
 * @param tile grid places of the tiles asked about
 * @returns per band, one weight 0…1 a tile
 */
export function edgeTrust(depth: Float64Array, stack: TileStack, tile: Int32Array): Float64Array[] {
  const { gridRows: rows, gridColumns: columns, tilePx } = stack;
  return stack.plan.bands.map((band) => {
    const sigmaPx = Math.sqrt(band.order / 2) / (Math.PI * band.centre);
    const reach = Math.max(1, Math.round((band.boxPx / 2 + 1.5 * sigmaPx) / tilePx));
    const shares = fastOtherShares(depth, rows, columns, tile, reach, OTHER_SURFACE_DOF) ?? otherShares(depth, rows, columns, tile, reach);
    return shares.map((share) => 1 / (1 + (share / HALF_SHARE) ** 2));
  });
}

/** Share of the known tiles around each that lies on another surface. */
function otherShares(depth: Float64Array, rows: number, columns: number, tile: Int32Array, reach: number): Float64Array {
  const out = new Float64Array(tile.length);
  tile.forEach((t, n) => {
    const r = Math.floor(t / columns), c = t % columns, here = depth[t];
    let other = 0, known = 0;
    for (let i = Math.max(0, r - reach); i <= Math.min(rows - 1, r + reach); i++) for (let j = Math.max(0, c - reach); j <= Math.min(columns - 1, c + reach); j++) {
      const d = depth[i * columns + j];
      if (Number.isNaN(d)) continue;
      known++;
      if (Math.abs(d - here) > OTHER_SURFACE_DOF) other++;
    }
    out[n] = known ? other / known : 0;
  });
  return out;
}
