import { turnOf } from '../registration/similarity.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';
import { withKernel } from './fast-kernel.js';
import { CLIP_REACH_PX, EDGE_PX, LEAST_LIGHT, LIGHT_CELLS, MOST_CLIPPED, type FollowedTiles, type TileFollower } from './followed-tiles.js';

/** Cells the kernel reads from a box's first column on, and so the widest box. */
const READ_CELLS = 8, WIDEST_CELLS = READ_CELLS - 1;

/** plainTileFollower in SIMD WebAssembly; null where there is none, or no room. The kernel's memory is its own until the stack is built. */
export function fastTileFollower(plan: MeasurePlan, first: FrameMeasure, { gridRows, gridColumns, inside, clear }: FollowedTiles): TileFollower | null {
  const { rows, columns, cellRows, cellColumns } = first, { cellPx } = plan, tiles = gridRows * gridColumns, cells = cellRows * cellColumns, stride = cellColumns + READ_CELLS;
  if (Math.max(CLIP_REACH_PX, ...plan.bands.map((band) => band.boxPx)) / cellPx > WIDEST_CELLS) return null;
  return withKernel(({ kernel, arena }) => {
    const codesAt = arena.take(2 * cells), cellsAt = arena.take(4 * cellRows * stride), rowAt = arena.take(8 * tiles), columnAt = arena.take(8 * tiles), marksAt = arena.take(tiles), outAt = arena.take(4 * tiles), workAt = arena.take(4 * (stride + 3) + 36 * gridColumns);
    const { buffer } = kernel.memory, codes = new Uint16Array(buffer, codesAt, cells), shares = new Uint8Array(buffer, codesAt, cells), marks = new Uint8Array(buffer, marksAt, tiles), means = new Float32Array(buffer, outAt, tiles);
    let upright = false;
    const boxes = (edge: number): void => {
      if (upright) kernel.uprightMeans(cellsAt, cellRows, cellColumns, stride, gridRows, gridColumns, rowAt, columnAt, edge, workAt, outAt);
      else kernel.boxMeans(cellsAt, cellRows, cellColumns, stride, tiles, rowAt, columnAt, edge, outAt);
    };
    const meansOf = (values: Uint16Array, edge: number): void => {
      codes.set(values);
      kernel.unpackCells(codesAt, cellRows, cellColumns, stride, cellsAt);
      boxes(edge);
    };
    return ({ energy, brightness, clipped }, transform, out) => {
      const { cosine, sine } = turnOf(transform), bands = energy.length;
      upright = sine === 0;
      marks.set(inside);
      kernel.placeTiles(gridRows, gridColumns, 2 * cellPx, cellPx, rows, columns, EDGE_PX, cosine, sine, transform.row, transform.column, rowAt, columnAt, marksAt);
      inside.set(marks);
      for (let b = 0; b < bands; b++) { meansOf(energy[b], plan.bands[b].boxPx / cellPx); out[b].set(means); }
      meansOf(brightness, LIGHT_CELLS);
      kernel.takeLogs(outAt, tiles, LEAST_LIGHT);
      out[bands].set(means);
      if (clipped === null) return;
      shares.set(clipped);
      kernel.unpackShares(codesAt, cellRows, cellColumns, stride, cellsAt);
      boxes(CLIP_REACH_PX / cellPx);
      marks.set(clear);
      kernel.unmarkAbove(outAt, tiles, MOST_CLIPPED, marksAt);
      clear.set(marks);
    };
  });
}
