import type { Report } from '../../contract/report.js';
import { fillBestFrames } from './fill-best-frames.js';
import { levelSize, type PixelLevel } from './pixel-level.js';

/** Feathering steps per axis: weights of the four tiles around a pixel are products of two of them and sum to 256. */
const FEATHER = 16;

/**
 * Puts a quick preview together: each tile from the frame that keeps it sharpest, feathered linearly from tile centre to tile centre,
 * frames moved by the shift the report gives them. Not a finished stack: frames are not scaled against each other.
 * @param frameLevel decodes one frame at the level asked
 * @returns the picture at that level; the middle frame alone where no tile was measured
 */
export async function composeSharpest(report: Report, level: number, frameLevel: (frame: number) => Promise<PixelLevel>): Promise<PixelLevel> {
  const { tiles, stack } = report;
  const best = fillBestFrames(tiles);
  if (!best) return frameLevel(stack.order[Math.floor(stack.order.length / 2)] ?? 0);
  const size = levelSize(stack.height, stack.width, level);
  const sum = new Uint16Array(size.rows * size.columns * 3);
  const tileAtLevel = tiles.tilePx / 2 ** level;
  const rowMix = axisMix(size.rows, tileAtLevel, tiles.rows);
  const columnMix = axisMix(size.columns, tileAtLevel, tiles.columns);
  for (const frame of new Set(best)) {
    const source = await frameLevel(frame);
    const { shiftPx } = stack.frames[frame];
    addFrame(sum, size, source, frame, best, tiles.columns, rowMix, columnMix, Math.round(shiftPx.row / 2 ** level), Math.round(shiftPx.column / 2 ** level));
  }
  const pixels = new Uint8Array(sum.length);
  for (let i = 0; i < sum.length; i++) pixels[i] = sum[i] >> 8;
  return { ...size, pixels };
}

interface AxisMix { first: Int32Array; second: Int32Array; secondWeight: Uint8Array }

/** For each pixel along an axis the two tiles whose centres it lies between, and the second one's weight out of FEATHER. */
function axisMix(length: number, tilePx: number, tileCount: number): AxisMix {
  const first = new Int32Array(length), second = new Int32Array(length), secondWeight = new Uint8Array(length);
  for (let i = 0; i < length; i++) {
    const place = (i + 0.5) / tilePx - 0.5;
    const before = Math.floor(place);
    first[i] = Math.min(tileCount - 1, Math.max(0, before));
    second[i] = Math.min(tileCount - 1, Math.max(0, before + 1));
    secondWeight[i] = Math.round((place - before) * FEATHER);
  }
  return { first, second, secondWeight };
}

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
