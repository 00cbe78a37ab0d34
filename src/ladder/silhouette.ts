import type { TileStack } from './tile-stack.js';

/** ln of √light by which a tile must be darker than another near it to stand before dark ground: seven times less light. No textured surface of 53 rendered stacks did. */
export const DARKER = 1;
/** Tiles on either side that light spreads to from a bright one, or that an edge of a bright one shows in. */
export const REACH_TILES = 2;

/** Tiles along the edge of a lit subject before dark ground; one flag a tile of the grid. */
export interface Silhouette {
  /** Dark ground beside the subject: what is seen there is the subject's light, spread by defocus. */
  ground: Uint8Array;
  /** The subject's own rim: its edge is stronger than its texture, and goes out of focus by other frequencies. */
  rim: Uint8Array;
}

export function silhouette({ light, inside, gridRows, gridColumns }: Pick<TileStack, 'light' | 'inside' | 'gridRows' | 'gridColumns'>): Silhouette {
  const ground = new Uint8Array(light.length), rim = new Uint8Array(light.length), known = light.map((v, t) => (inside[t] ? v : NaN)), { low: lows, high: highs } = extremes(known, gridRows, gridColumns);
  for (let t = 0; t < light.length; t++) {
    if (!inside[t]) continue;
    const low = lows[t], high = highs[t];
    // Darker than the one and brighter than the other: half-way across the edge.
    if (high - light[t] > DARKER) ground[t] = 1;
    else if (light[t] - low > DARKER) rim[t] = 1;
  }
  return { ground, rim };
}

/** Least and greatest of the values around each, along rows first and then down columns; NaNs don't count. */
function extremes(values: Float64Array, rows: number, columns: number): { low: Float64Array; high: Float64Array } {
  const low = new Float64Array(values.length).fill(Infinity), high = new Float64Array(values.length).fill(-Infinity), lowest = low.slice(), highest = high.slice();
  for (let r = 0; r < rows; r++) for (let c = 0, i = r * columns; c < columns; c++, i++) for (let j = i - Math.min(REACH_TILES, c), end = i + Math.min(REACH_TILES, columns - 1 - c); j <= end; j++) {
    const v = values[j];
    if (v < low[i]) low[i] = v;
    if (v > high[i]) high[i] = v;
  }
  for (let r = 0; r < rows; r++) for (let y = Math.max(0, r - REACH_TILES), bottom = Math.min(rows - 1, r + REACH_TILES); y <= bottom; y++) for (let c = 0, i = r * columns, j = y * columns; c < columns; c++, i++, j++) {
    if (low[j] < lowest[i]) lowest[i] = low[j];
    if (high[j] > highest[i]) highest[i] = high[j];
  }
  return { low: lowest, high: highest };
}
