import { fromShortFloats } from '../image/short-floats.js';
import { boxMean, summedArea } from '../image/summed-area.js';
import { turnOf } from '../registration/similarity.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';
import { fastTileFollower } from './fast-follow-tiles.js';
import { CLIP_REACH_PX, EDGE_PX, LEAST_LIGHT, LIGHT_CELLS, MOST_CLIPPED, type FollowedTiles, type TileFollower } from './followed-tiles.js';

/**
 * Reads tiles by the SIMD kernel where it is there and has room, else plainly: the same numbers.
 *
 * @param first any frame of the stack: all are of one size
 */
export function tileFollower(plan: MeasurePlan, first: FrameMeasure, tiles: FollowedTiles): TileFollower {
  return fastTileFollower(plan, first, tiles) ?? plainTileFollower(plan, first, tiles);
}

function plainTileFollower(plan: MeasurePlan, first: FrameMeasure, { gridRows, gridColumns, inside, clear }: FollowedTiles): TileFollower {
  const { rows, columns, cellRows, cellColumns } = first, { cellPx } = plan, tilePx = 2 * cellPx;
  const centreRow = (rows - 1) / 2, centreColumn = (columns - 1) / 2, tiles = gridRows * gridColumns;
  const cells = new Float32Array(cellRows * cellColumns), area = summedArea(cells, cellRows, cellColumns);
  const placeRow = new Float64Array(tiles), placeColumn = new Float64Array(tiles);
  return (measure, transform, out) => {
    const { cosine, sine } = turnOf(transform);
    for (let r = 0, tile = 0; r < gridRows; r++) for (let c = 0; c < gridColumns; c++, tile++) {
      const fromRow = (r + 0.5) * tilePx - 0.5 - centreRow, fromColumn = (c + 0.5) * tilePx - 0.5 - centreColumn;
      const row = cosine * fromRow - sine * fromColumn + transform.row + centreRow, column = sine * fromRow + cosine * fromColumn + transform.column + centreColumn;
      if (!(row > EDGE_PX && row < rows - EDGE_PX - 1 && column > EDGE_PX && column < columns - EDGE_PX - 1)) inside[tile] = 0;
      placeRow[tile] = (row + 0.5) / cellPx;
      placeColumn[tile] = (column + 0.5) / cellPx;
    }
    measure.energy.forEach((energy, b) => {
      const edge = plan.bands[b].boxPx / cellPx, to = out[b];
      summedArea(fromShortFloats(energy, cells), cellRows, cellColumns, area);
      for (let t = 0; t < tiles; t++) to[t] = boxMean(area, placeRow[t], placeColumn[t], edge);
    });
    const light = out[measure.energy.length];
    summedArea(fromShortFloats(measure.brightness, cells), cellRows, cellColumns, area);
    for (let t = 0; t < tiles; t++) light[t] = Math.log(Math.max(boxMean(area, placeRow[t], placeColumn[t], LIGHT_CELLS), LEAST_LIGHT));
    if (measure.clipped === null) return;
    for (let i = 0; i < cells.length; i++) cells[i] = measure.clipped[i] / 255;
    summedArea(cells, cellRows, cellColumns, area);
    for (let t = 0; t < tiles; t++) if (boxMean(area, placeRow[t], placeColumn[t], CLIP_REACH_PX / cellPx) > MOST_CLIPPED) clear[t] = 0;
  };
}
