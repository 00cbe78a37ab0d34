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
  const counted = order.filter((k) => !blurred[k]);
  const state = new Array<TileState>(tiles).fill('no-detail');
  const bestFrame = new Int32Array(tiles).fill(-1), distance = new Float64Array(tiles).fill(NaN);
  const soft = new Float64Array(Math.max(0, order.length - 1)), surface = new Float64Array(soft.length);
  const near = counted.length ? position[counted[0]] : 0, far = counted.length ? position[counted[counted.length - 1]] : 0;
  for (let t = 0; t < tiles; t++) {
    const d = depth[t];
    if (!stack.inside[t] || Number.isNaN(d) || !counted.length) continue;
    let best = counted[0];
    for (const k of counted) if (Math.abs(position[k] - d) < Math.abs(position[best] - d)) best = k;
    bestFrame[t] = best;
    distance[t] = Math.abs(position[best] - d);
    const sharp = distance[t] <= SHARP_HALF_DOF;
    state[t] = sharp ? 'sharp' : d < near ? 'beyond-near' : d > far ? 'beyond-far' : 'soft';
    const interval = intervalOf(order, position, d);
    if (interval < 0) continue;
    surface[interval] += 1 / picture.pictureTiles;
    if (state[t] !== 'soft') continue;
    // Not called sharp either: nothing certain is known of it.
    if (picture.tiles.spread[t] > TWO_DEPTHS) state[t] = 'no-detail';
    else soft[interval] += 1 / picture.pictureTiles;
  }
  return { state, bestFrame, distance, softShare: soft, surfaceShare: surface };
}

function intervalOf(order: readonly number[], position: Float64Array, depth: number): number {
  for (let i = 0; i + 1 < order.length; i++) if (depth >= position[order[i]] && depth < position[order[i + 1]]) return i;
  return -1;
}
