import { silhouette, type Silhouette } from './silhouette.js';
import type { TileStack } from './tile-stack.js';

/** Share of a tile's focus curve (middle band) that must lie in frames where the tile is as bright as in most. */
export const LEAST_STEADY = 0.5;
/** With fewer steady tiles than this the rest must do as well. */
export const LEAST_TILES = 60;
const MIDDLE = 1;

/**
 * Tiles fit for the solve. Defocus leaves a tile's brightness as it is, except where a bright surface ends before a dark ground: light of the
 * one spreads over the other, in every frame differently. Of such a tile the entries near its focus are the ones not trusted, and what is left
 * of its focus curve points anywhere. The surface's rim shows its edge more than its texture, and is left out as well.
 *
 * @param usable tiles to choose from
 * @param outline the subject's, where it is known already
 */
export function steadyTiles(stack: TileStack, usable: Int32Array, { rim }: Pick<Silhouette, 'rim'> = silhouette(stack)): Int32Array {
  const { trust, frames, energy, noise } = stack;
  const steady = usable.filter((tile) => {
    if (rim[tile]) return false;
    let all = 0, trusted = 0;
    for (let k = 0, i = tile * frames; k < frames; k++, i++) {
      const detail = Math.max(0, energy[MIDDLE][i] - noise[MIDDLE][k]);
      all += detail;
      trusted += trust[i] * detail;
    }
    return trusted >= LEAST_STEADY * all;
  });
  return steady.length >= LEAST_TILES ? steady : usable;
}
