import type { Pose } from './scene.js';
import { PHASES, TAPS, sincKernel } from './sinc-kernel.js';

/**
 * Samples light on the scene's grid at the pixels of a frame that is scaled, turned and shifted about the grid's middle.
 * A turn by an angle is a slide along rows followed by one along columns, each a sixteen-point windowed sinc that does not
 * soften (see sincKernel).
 * @param grid wraps around; @returns rows × columns pixels. Angles up to 20°.
 */
export function takePicture(light: Float32Array, grid: { rows: number; columns: number; oversample: number }, pose: Pose, rows: number, columns: number): Float32Array {
  const taps = sincKernel(), count = TAPS, phases = PHASES; // locals: imported names are slow in the inner loops
  const k = grid.oversample / pose.scale, cos = Math.cos(pose.turnRad), sin = Math.sin(pose.turnRad);
  const middleRow = (grid.rows - 1) / 2, middleColumn = (grid.columns - 1) / 2;
  const across = (c: number) => c - (columns - 1) / 2 - pose.shiftPx.column;
  // Along rows: grid row `y` seen at picture column `c`. Its picture row follows from y and c.
  const slid = new Float32Array(grid.rows * columns);
  for (let y = 0; y < grid.rows; y++) {
    for (let c = 0; c < columns; c++) {
      const down = ((y - middleRow) / k + sin * across(c)) / cos;
      const x = (sin * down + cos * across(c)) * k + middleColumn;
      const base = Math.floor(x), tap = Math.floor((x - base) * phases) * count;
      const first = base - count / 2 + 1;
      let sum = 0;
      if (first >= 0 && first + count <= grid.columns) {
        const at = y * grid.columns + first;
        for (let j = 0; j < count; j++) sum += taps[tap + j] * light[at + j];
      } else for (let j = 0; j < count; j++) sum += taps[tap + j] * light[y * grid.columns + wrap(first + j, grid.columns)];
      slid[y * columns + c] = sum;
    }
  }
  const out = new Float32Array(rows * columns);
  for (let r = 0; r < rows; r++) {
    const down = r - (rows - 1) / 2 - pose.shiftPx.row;
    for (let c = 0; c < columns; c++) {
      const y = (cos * down - sin * across(c)) * k + middleRow;
      const base = Math.floor(y), tap = Math.floor((y - base) * phases) * count;
      const first = base - count / 2 + 1;
      let sum = 0;
      for (let j = 0; j < count; j++) sum += taps[tap + j] * slid[wrap(first + j, grid.rows) * columns + c];
      out[r * columns + c] = sum;
    }
  }
  return out;
}

function wrap(i: number, size: number): number { return i < 0 ? i + size : i >= size ? i - size : i; }
