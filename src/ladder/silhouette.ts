import type { TileStack } from './tile-stack.js';

/** ln of √light by which a tile must be darker than another near it to stand before dark ground: seven times less light. No textured surface of 53 rendered stacks did. */
const DARKER = 1;
/** Tiles on either side that light spreads to from a bright one, or that an edge of a bright one shows in. */
const REACH_TILES = 2;

/** Tiles along the edge of a lit subject before dark ground; one flag a tile of the grid. */
export interface Silhouette {
  /** Dark ground beside the subject: what is seen there is the subject's light, spread by defocus. */
  ground: Uint8Array;
  /** The subject's own rim: its edge is stronger than its texture, and goes out of focus by other frequencies. */
  rim: Uint8Array;
}

export function silhouette({ light, inside, gridRows, gridColumns }: Pick<TileStack, 'light' | 'inside' | 'gridRows' | 'gridColumns'>): Silhouette {
  const ground = new Uint8Array(light.length), rim = new Uint8Array(light.length);
  for (let r = 0, t = 0; r < gridRows; r++) for (let c = 0; c < gridColumns; c++, t++) {
    if (!inside[t]) continue;
    let low = light[t], high = low;
    for (let y = Math.max(0, r - REACH_TILES); y <= Math.min(gridRows - 1, r + REACH_TILES); y++) for (let x = Math.max(0, c - REACH_TILES); x <= Math.min(gridColumns - 1, c + REACH_TILES); x++) {
      const near = y * gridColumns + x;
      if (!inside[near]) continue;
      low = Math.min(low, light[near]);
      high = Math.max(high, light[near]);
    }
    // Darker than the one and brighter than the other: half-way across the edge.
    if (high - light[t] > DARKER) ground[t] = 1;
    else if (light[t] - low > DARKER) rim[t] = 1;
  }
  return { ground, rim };
}
