import type { Report } from '../../contract/report.js';
import { fillBestFrames } from './fill-best-frames.js';
import { levelSize, type PixelLevel } from './pixel-level.js';

/** Feathering steps per axis: weights of the four tiles around a pixel are products of two of them and sum to 256. */
const FEATHER = 16;

/** Part of a level, in its pixels. */
export interface LevelPart { row: number; column: number; rows: number; columns: number }

/**
 * Puts part of a quick preview together: each tile from the frame that keeps it sharpest, feathered linearly from tile centre to tile centre,
 * frames moved by the shift the report gives them. Not a finished stack: frames are not scaled against each other.
 * Only frames that show in this part are asked for.
 * @param part inside the level; the whole of it where left out
 * @param frameLevel decodes one frame at the level asked
 * @param without frames that can't be shown
 * @returns the part at that level; of the middle frame alone where no tile was measured
 */
export async function composeSharpest(report: Report, level: number, frameLevel: (frame: number) => Promise<PixelLevel>, part?: LevelPart, without?: ReadonlySet<number>): Promise<PixelLevel> {
  const { tiles, stack } = report;
  const whole = levelSize(stack.height, stack.width, level), asked = part ?? { row: 0, column: 0, ...whole };
  const best = fillBestFrames(tiles, without);
  if (best) fewerFrames(best, stack.order, level, without);
  if (!best) return cutOut(await frameLevel(middleFrame(stack.order, without)), asked);
  const sum = new Uint16Array(asked.rows * asked.columns * 3);
  const tileAtLevel = tiles.tilePx / 2 ** level;
  const rowMix = axisMix(asked.row, asked.rows, tileAtLevel, tiles.rows);
  const columnMix = axisMix(asked.column, asked.columns, tileAtLevel, tiles.columns);
  for (const frame of framesShown(best, tiles.columns, rowMix, columnMix)) {
    const source = await frameLevel(frame);
    const { shiftPx } = stack.frames[frame];
    addFrame(sum, asked, source, frame, best, tiles.columns, rowMix, columnMix, asked.row + Math.round(shiftPx.row / 2 ** level), asked.column + Math.round(shiftPx.column / 2 ** level));
  }
  const pixels = new Uint8Array(sum.length);
  for (let i = 0; i < sum.length; i++) pixels[i] = sum[i] >> 8;
  return { rows: asked.rows, columns: asked.columns, pixels };
}

/** Most frames that a reduced picture is put together from: more would only take longer. */
const MOST_FRAMES = 48;

/**
 * Of very many frames, at a reduced level, one stands for its neighbours along the axis: where pixels are twice as wide,
 * blur may be too, and so may the way from focus.
 */
function fewerFrames(best: Int32Array, order: readonly number[], level: number, without: ReadonlySet<number> = new Set()): void {
  const there = order.filter((frame) => !without.has(frame)), every = Math.min(2 ** level, Math.ceil(there.length / MOST_FRAMES));
  if (every < 2) return;
  const standsFor = new Map(there.map((frame, rank) => [frame, there[Math.min(there.length - 1, rank - (rank % every) + (every >> 1))]]));
  best.forEach((frame, tile) => { best[tile] = standsFor.get(frame) ?? frame; });
}

function middleFrame(order: readonly number[], without: ReadonlySet<number> = new Set()): number {
  const there = order.filter((frame) => !without.has(frame));
  return there[Math.floor(there.length / 2)] ?? order[0] ?? 0;
}

function cutOut(source: PixelLevel, { row, column, rows, columns }: LevelPart): PixelLevel {
  const pixels = new Uint8Array(rows * columns * 3);
  for (let r = 0; r < rows; r++) {
    const from = ((row + r) * source.columns + column) * 3;
    pixels.set(source.pixels.subarray(from, from + columns * 3), r * columns * 3);
  }
  return { rows, columns, pixels };
}

interface AxisMix { first: Int32Array; second: Int32Array; secondWeight: Uint8Array }

/** For each pixel along an axis the two tiles whose centres it lies between, and the second one's weight out of FEATHER. */
function axisMix(start: number, length: number, tilePx: number, tileCount: number): AxisMix {
  const first = new Int32Array(length), second = new Int32Array(length), secondWeight = new Uint8Array(length);
  for (let i = 0; i < length; i++) {
    const place = (start + i + 0.5) / tilePx - 0.5;
    const before = Math.floor(place);
    first[i] = Math.min(tileCount - 1, Math.max(0, before));
    second[i] = Math.min(tileCount - 1, Math.max(0, before + 1));
    secondWeight[i] = Math.round((place - before) * FEATHER);
  }
  return { first, second, secondWeight };
}

/** Frames of the tiles that lie under a part. */
function framesShown(best: Int32Array, tileColumns: number, rowMix: AxisMix, columnMix: AxisMix): Set<number> {
  const shown = new Set<number>();
  for (const row of new Set([...rowMix.first, ...rowMix.second])) for (const column of new Set([...columnMix.first, ...columnMix.second])) shown.add(best[row * tileColumns + column]);
  return shown;
}

/** `shiftRow`, `shiftColumn`: from a pixel of the part to its place in the frame. */
function addFrame(sum: Uint16Array, size: { rows: number; columns: number }, source: PixelLevel, frame: number, best: Int32Array, tileColumns: number,
  rowMix: AxisMix, columnMix: AxisMix, shiftRow: number, shiftColumn: number): void {
  for (let row = 0; row < size.rows; row++) {
    const above = rowMix.first[row] * tileColumns, below = rowMix.second[row] * tileColumns;
    const lower = rowMix.secondWeight[row], upper = FEATHER - lower;
    const sourceRow = Math.min(source.rows - 1, Math.max(0, row + shiftRow)) * source.columns;
    for (let column = 0; column < size.columns; column++) {
      const left = columnMix.first[column], right = columnMix.second[column];
      const far = columnMix.secondWeight[column], near = FEATHER - far;
      const weight = (best[above + left] === frame ? upper * near : 0) + (best[above + right] === frame ? upper * far : 0)
        + (best[below + left] === frame ? lower * near : 0) + (best[below + right] === frame ? lower * far : 0);
      if (weight === 0) continue;
      const from = (sourceRow + Math.min(source.columns - 1, Math.max(0, column + shiftColumn))) * 3;
      const to = (row * size.columns + column) * 3;
      sum[to] += weight * source.pixels[from];
      sum[to + 1] += weight * source.pixels[from + 1];
      sum[to + 2] += weight * source.pixels[from + 2];
    }
  }
}
