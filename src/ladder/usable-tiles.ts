import { awayFromGlints } from './away-from-glints.js';
import { silhouette } from './silhouette.js';
import { steadyTiles } from './steady-tiles.js';
import type { TileStack } from './tile-stack.js';

/** Peak amplitude over noise amplitude above which a tile is read: in the fine band, or in the middle one. */
const FINE_LEAST = 3, MIDDLE_LEAST = 6;
const LEAST_STRONG_TILES = 60, LEAST_STRONG_SHARE = 0.005;

export interface UsableTiles {
  /** Tiles that can be measured. */
  usable: Int32Array;
  /** Of these, tiles fit for the solve. */
  steady: Int32Array;
  /** Of these, tiles strong in the fine band. */
  strong: number;
  /** Tiles inside all frames. */
  inside: number;
  /** False: so little detail that nothing can be told. */
  enough: boolean;
}

export function usableTiles(stack: TileStack): UsableTiles {
  const { frames, energy, noise, noiseFloor } = stack, tiles = stack.inside.length;
  const usable: number[] = [];
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
    if (fine || rises(1, t, MIDDLE_LEAST)) usable.push(t);
  }
  const all = Int32Array.from(usable);
  return { usable: all, steady: awayFromGlints(stack, steadyTiles(stack, all, outline)), strong, inside, enough: strong >= Math.max(LEAST_STRONG_TILES, LEAST_STRONG_SHARE * inside) };
}
