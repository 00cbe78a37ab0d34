/** A frame's light in a few blocks, smooth changes over the picture taken out. */
export interface LightMap {
  rows: number;
  columns: number;
  /** ln brightness of each block, row by row. */
  light: Float64Array;
  /** The same less its surroundings' mean: what tells one subject from another, where fall-off towards the corners does not. */
  detail: Float64Array;
  /** False: so even that nothing can be recognised. */
  telling: boolean;
}

/** Blocks along the longer edge. Defocus changes nothing at this size; another subject changes everything. */
const LONG_EDGE_BLOCKS = 32;
/** Blocks to either side that count as surroundings. */
const SURROUNDINGS = 3;
/** Spread of `detail` (ln) below which noise could be all there is: shot noise of a block stays below 0.001. */
const LEAST_SPREAD = 0.003;

/** Blocks down and across a picture of rows × columns cells. */
export function blocksOf(rows: number, columns: number): { down: number; across: number } {
  const edge = Math.max(rows, columns) / LONG_EDGE_BLOCKS;
  return { down: Math.max(4, Math.round(rows / edge)), across: Math.max(4, Math.round(columns / edge)) };
}

/** Means of the blocks' cells, 0 for one without. @param brightness rows × columns cells of √luminance, any scale */
export function plainBlockMeans(brightness: ArrayLike<number>, rows: number, columns: number): Float64Array {
  const { down, across } = blocksOf(rows, columns), means = new Float64Array(down * across);
  for (let r = 0, i = 0; r < down; r++) for (let c = 0; c < across; c++, i++) {
    const bottom = Math.floor(((r + 1) * rows) / down), right = Math.floor(((c + 1) * columns) / across);
    let sum = 0, n = 0;
    for (let y = Math.floor((r * rows) / down); y < bottom; y++) for (let x = Math.floor((c * columns) / across); x < right; x++) { sum += brightness[y * columns + x]; n++; }
    means[i] = n ? sum / n : 0;
  }
  return means;
}

/** @param means of blocks of a picture of rows × columns cells */
export function lightMap(means: Float64Array, rows: number, columns: number): LightMap {
  const { down, across } = blocksOf(rows, columns);
  return withDetail(means.map((mean) => Math.log(Math.max(mean, 1e-3))), down, across);
}

/** The map about its middle as a picture `scale` times as large would show it, 1 or more. */
export function enlarged({ rows, columns, light }: LightMap, scale: number): LightMap {
  const out = new Float64Array(light.length), middleRow = (rows - 1) / 2, middleColumn = (columns - 1) / 2;
  for (let r = 0, i = 0; r < rows; r++) for (let c = 0; c < columns; c++, i++) {
    const y = (r - middleRow) / scale + middleRow, x = (c - middleColumn) / scale + middleColumn;
    const top = Math.min(rows - 2, Math.floor(y)), left = Math.min(columns - 2, Math.floor(x)), v = y - top, u = x - left, at = top * columns + left;
    out[i] = (1 - v) * ((1 - u) * light[at] + u * light[at + 1]) + v * ((1 - u) * light[at + columns] + u * light[at + columns + 1]);
  }
  return withDetail(out, rows, columns);
}

function withDetail(light: Float64Array, rows: number, columns: number): LightMap {
  // Along rows first, then down columns.
  const along = sumsAround(light, rows, columns, columns, 1), around = sumsAround(along, columns, rows, 1, columns), detail = new Float64Array(light.length);
  let square = 0;
  for (let r = 0, i = 0; r < rows; r++) for (let c = 0; c < columns; c++, i++) {
    detail[i] = light[i] - around[i] / (neighbours(r, rows) * neighbours(c, columns));
    square += detail[i] ** 2;
  }
  return { rows, columns, light, detail, telling: Math.sqrt(square / light.length) > LEAST_SPREAD };
}

/** How many of an axis' n places lie within {@link SURROUNDINGS} of the i-th. */
function neighbours(i: number, n: number): number { return Math.min(n - 1, i + SURROUNDINGS) - Math.max(0, i - SURROUNDINGS) + 1; }

/** Sums over the surroundings along one axis. @param lines of `length` places, which are `step` apart; `apart`: from one line to the next */
function sumsAround(values: Float64Array, lines: number, length: number, apart: number, step: number): Float64Array {
  const out = new Float64Array(values.length);
  for (let line = 0; line < lines; line++) {
    const at = line * apart;
    let sum = 0;
    // One comes into reach and one leaves it, from place to place.
    for (let i = -SURROUNDINGS; i < length; i++) {
      const next = i + SURROUNDINGS, left = i - SURROUNDINGS - 1;
      if (next < length) sum += values[at + next * step];
      if (left >= 0) sum -= values[at + left * step];
      if (i >= 0) out[at + i * step] = sum;
    }
  }
  return out;
}
