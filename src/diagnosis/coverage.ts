import type { TileState } from '../contract/report.js';
import type { StackPicture } from './stack-picture.js';

/** A surface is sharp within half a DOF of a frame that counts. */
export const SHARP_HALF_DOF = 0.5;
/** Depth spread (wave DOF) above which a tile holds two depths: what is measured there is a mixture, not a surface. */
const TWO_DEPTHS = 0.7;

export interface Coverage {
  state: TileState[];
  /** Frame whose focus lies nearest, per tile; −1 where unknown. */
  bestFrame: Int32Array;
  /** Distance to it in report DOF; NaN where unknown. */
  distance: Float64Array;
  /** Per interval of `order`: shares of the picture. */
  softShare: Float64Array;
  surfaceShare: Float64Array;
}

/** Which tiles are sharp in some frame that counts, and how much of the picture lies soft in each interval. */
export function coverage(picture: StackPicture): Coverage {
  const { order, position, depth, blurred, stack } = picture, tiles = depth.length;
  const counted = order.filter((k) => !blurred[k]), frameAt = Float64Array.from(counted, (k) => position[k]), limit = Float64Array.from(order, (k) => position[k]);
  const state = new Array<TileState>(tiles).fill('no-detail');
  const bestFrame = new Int32Array(tiles).fill(-1), distance = new Float64Array(tiles).fill(NaN);
  const softShare = new Float64Array(Math.max(0, order.length - 1)), surfaceShare = new Float64Array(softShare.length);
  const last = counted.length - 1, lastInterval = order.length - 2, near = frameAt[0], far = frameAt[last], tileShare = 1 / picture.pictureTiles;
  const softTile: number[] = [], softInterval: number[] = [];
  // Neighbours lie at like depths: the search for a tile's frame and interval begins where the tile before it was.
  for (let t = 0, best = 0, interval = 0; t < tiles && last >= 0; t++) {
    const d = depth[t];
    if (!stack.inside[t] || Number.isNaN(d)) continue;
    let off = Math.abs(frameAt[best] - d);
    // Beyond frames at one position, and then back to the first of the nearest.
    while (best < last) { const next = Math.abs(frameAt[best + 1] - d); if (next > off) break; best++; off = next; }
    while (best > 0) { const next = Math.abs(frameAt[best - 1] - d); if (next > off) break; best--; off = next; }
    bestFrame[t] = counted[best];
    distance[t] = off;
    const sharp = off <= SHARP_HALF_DOF;
    if (sharp) state[t] = 'sharp';
    else if (d < near) state[t] = 'beyond-near';
    else if (d > far) state[t] = 'beyond-far';
    if (lastInterval < 0 || d < limit[0] || d >= limit[lastInterval + 1]) { if (!sharp && d >= near && d <= far) state[t] = 'soft'; continue; }
    while (d >= limit[interval + 1]) interval++;
    while (d < limit[interval]) interval--;
    surfaceShare[interval] += tileShare;
    if (!sharp && d >= near && d <= far) { softTile.push(t); softInterval.push(interval); }
  }
  const spread = softTile.length ? picture.tiles.spreadOf(Int32Array.from(softTile)) : [];
  softTile.forEach((t, i) => {
    // Where two depths lie in a tile nothing certain is known of it: not called sharp either.
    if (spread[i] > TWO_DEPTHS) return;
    state[t] = 'soft';
    softShare[softInterval[i]] += tileShare;
  });
  return { state, bestFrame, distance, softShare, surfaceShare };
}
