import { silhouette } from './silhouette.js';
import type { TileStack } from './tile-stack.js';

/** Peak amplitude over noise amplitude above which a tile is read: in the fine band, or in the middle one. */
const FINE_LEAST = 3, MIDDLE_LEAST = 6;
const LEAST_STRONG_TILES = 60, LEAST_STRONG_SHARE = 0.005;

export interface UsableTiles {
  /** Tiles that can be measured. */
  usable: Int32Array;
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
  const { ground } = silhouette(stack);
  let strong = 0, inside = 0;
  const peak = (band: number, tile: number): number => {
    let best = 0;
    for (let k = 0; k < frames; k++) best = Math.max(best, energy[band][tile * frames + k] - noise[band][k]);
    return Math.sqrt(best / noiseFloor[band]);
  };
  for (let t = 0; t < tiles; t++) {
    if (!stack.inside[t]) continue;
    inside++;
    if (!stack.clear[t] || ground[t]) continue;
    const fine = peak(0, t) > FINE_LEAST;
    if (fine) strong++;
    if (fine || peak(1, t) > MIDDLE_LEAST) usable.push(t);
  }
  return { usable: Int32Array.from(usable), strong, inside, enough: strong >= Math.max(LEAST_STRONG_TILES, LEAST_STRONG_SHARE * inside) };
}
