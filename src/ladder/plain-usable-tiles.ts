import { silhouette } from './silhouette.js';
import { steadyTiles } from './steady-tiles.js';
import type { TileStack } from './tile-stack.js';

/** Peak amplitude over noise amplitude above which a tile is read: in the fine band, or in the middle one. */
export const FINE_LEAST = 3, MIDDLE_LEAST = 6;

/** Tiles that can be measured, of these the steady ones before glints are looked at, how many are strong in the fine band, and how many lie inside all frames. */
export interface Readable { usable: Int32Array; steady: Int32Array; strong: number; inside: number }

export function plainReadable(stack: TileStack): Readable {
  const { frames, energy, noise, noiseFloor } = stack, tiles = stack.inside.length;
  const found: number[] = [];
  const outline = silhouette(stack), { ground } = outline;
  let strong = 0, inside = 0;
  /** Does a band's energy rise above its noise by this many times the noise amplitude in any frame? */
  const rises = (band: number, tile: number, least: number): boolean => {
    const of = energy[band], line = noise[band], most = least ** 2 * noiseFloor[band];
    for (let k = 0, i = tile * frames; k < frames; k++, i++) if (of[i] - line[k] > most) return true;
    return false;
  };
  for (let t = 0; t < tiles; t++) {
    if (!stack.inside[t]) continue;
    inside++;
    if (!stack.clear[t] || ground[t]) continue;
    const fine = rises(0, t, FINE_LEAST);
    if (fine) strong++;
    if (fine || rises(1, t, MIDDLE_LEAST)) found.push(t);
  }
  const usable = Int32Array.from(found);
  return { usable, steady: steadyTiles(stack, usable, outline), strong, inside };
}
