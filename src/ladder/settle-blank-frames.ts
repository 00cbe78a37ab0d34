import { orderAlong } from './order-along.js';
import { median } from './statistics.js';

/** A frame placed farther than this from the one it looks most like is looked at again, DOF. */
const FAR_DOF = 3;
/** How much more it must look like that one than like its neighbour in depth. */
const MORE_ALIKE = 0.5;

/**
 * A frame in which nothing is sharp fits beyond either end of the ladder alike. It goes to the end whose frames it looks like.
 *
 * @param z positions, DOF; changed in place
 * @param distance frames × frames, how unlike two frames are
 */
export function settleBlankFrames(z: Float64Array, distance: Float64Array): void {
  const frames = z.length;
  if (frames < 4) return;
  for (let k = 0; k < frames; k++) {
    const order = orderAlong(z).filter((i) => i !== k);
    const end = z[k] <= z[order[0]] ? order[0] : z[k] >= z[order[frames - 2]] ? order[frames - 2] : -1;
    if (end < 0) continue;
    const other = end === order[0] ? order[frames - 2] : order[0];
    if (Math.abs(z[k] - z[other]) < FAR_DOF || distance[k * frames + other] > MORE_ALIKE * distance[k * frames + end]) continue;
    const usual = median(order.slice(1).map((frame, i) => z[frame] - z[order[i]]));
    z[k] = z[other] + (other === order[0] ? -usual : usual);
  }
}
