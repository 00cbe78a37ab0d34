import { REPORT_SCHEMA, type Frame, type Report, type TileMap } from '../contract/report.js';
import { PROGRAM_VERSION } from '../contract/version.js';
import { fromShortFloats } from '../image/short-floats.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';
import { tileGrid } from '../sharpness/tile-grid.js';
import { blankTiles, nothingPlaced, unplacedFrames } from './blank-report.js';

/** What is known while frames are still read. */
export interface ReadSoFar {
  folder: string;
  rows: number;
  columns: number;
  files: readonly string[];
  plan: MeasurePlan;
  measures: ReadonlyMap<number, FrameMeasure>;
  leftOut: readonly { index: number; flag: Frame['flags'][number] }[];
  optics: Report['optics'];
  elapsedMs: number;
}

/** Most frames that a provisional picture is put together from: each has to be decoded once more for it. */
const MOST_SHOWN = 16;

/**
 * A report of the frames read so far. Nothing is solved: no position, no step, no depth; but each place already knows which of some of
 * these frames shows it sharpest, which is enough to put a picture together. Costs a pass over the cells, some milliseconds.
 */
export function partialReport(read: ReadSoFar): Report {
  const indices = [...read.measures.keys()].sort((a, b) => a - b);
  const frames = unplacedFrames(read.files, read.leftOut);
  return {
    schema: REPORT_SCHEMA, version: PROGRAM_VERSION,
    stack: { folder: read.folder, width: read.columns, height: read.rows, frames, order: indices, direction: 'unknown' },
    ...nothingPlaced(), optics: read.optics, findings: [],
    verdict: { decision: 'undecided', reasons: [`${indices.length} of ${read.files.length} frames are read; positions, steps and the verdict follow when all are.`] },
    tiles: sharpestSoFar(read, evenly(indices)),
    timing: { totalMs: Math.round(read.elapsedMs), decodeMs: 0, frames: indices.length, megapixels: Math.round((read.rows * read.columns) / 1e4) / 100 },
  };
}

/** Every second, fourth, … of many frames: those of one picture are among those of the next, or leave it for good. */
function evenly(indices: readonly number[]): number[] {
  let every = 1;
  while (indices.length / every > MOST_SHOWN) every *= 2;
  return indices.filter((_, i) => i % every === 0);
}

/** Per tile the frame with most energy in the fine band; frames are not aligned yet, so hand-held ones are only roughly right. */
function sharpestSoFar({ plan, measures }: ReadSoFar, indices: readonly number[]): TileMap {
  const { rows: height, columns: width, cellRows, cellColumns } = measures.get(indices[0])!;
  const { tilePx, gridRows: rows, gridColumns: columns } = tileGrid(plan, height, width);
  const best = new Array<number | null>(rows * columns).fill(null), most = new Float64Array(rows * columns).fill(-1);
  const unpacked = new Float32Array(cellRows * cellColumns);
  for (const index of indices) {
    const cells = fromShortFloats(measures.get(index)!.energy[0], unpacked);
    for (let r = 0; r < rows; r++) for (let c = 0; c < columns; c++) {
      let energy = 0;
      for (let i = 2 * r; i < Math.min(cellRows, 2 * r + 2); i++) for (let j = 2 * c; j < Math.min(cellColumns, 2 * c + 2); j++) energy += cells[i * cellColumns + j];
      if (energy > most[r * columns + c]) { most[r * columns + c] = energy; best[r * columns + c] = index; }
    }
  }
  return { ...blankTiles(rows, columns, tilePx * plan.bin), bestFrame: best };
}
