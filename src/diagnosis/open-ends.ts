import { quantile } from '../ladder/statistics.js';
import type { StackPicture } from './stack-picture.js';
import { SHARP_HALF_DOF } from './coverage.js';

/** An end is called open from this share of the picture. */
export const OPEN_SHARE = 0.01;
/**
 * Measured share from which an open end costs the picture. The limit is 0.02 of the picture; what lies beyond an end is measured a third
 * too small, because the farther tiles of it show no rise any more.
 */
export const HARMFUL_END_SHARE = 0.013;
/** The coarse band sees a surface this far beyond the last frame, as a share of its reach. */
const REACH_SHARE = 0.8;
/** The end frame's amplitude must stand this far above the noise, and this much above that of frames further in. */
const LEAST_AMPLITUDE = 4, LEAST_RISE = 1.15, INWARDS_DOF = 0.8;

export interface OpenEnd {
  /** Share of the picture whose surface lies beyond this end. */
  share: number;
  /** How far the surface goes on at least, report DOF from the end frame: 95 % of these tiles lie nearer. */
  extentDof: number;
  tiles: number[];
}

/**
 * Surface beyond an end of the ladder. A tile counts where its depth lies further than half a DOF beyond the last frame that counts,
 * within the coarse band's reach, and its sharpness rises towards that frame: dark ground far behind shows no such rise.
 *
 * @param side 0: before the first frame of `order`; 1: beyond the last
 */
export function openEnd(picture: StackPicture, side: 0 | 1): OpenEnd {
  const { stack, ladder, order, position, depth, blurred } = picture, { frames } = stack;
  const counted = order.filter((k) => !blurred[k]);
  if (counted.length < 2) return { share: 0, extentDof: 0, tiles: [] };
  const end = side ? counted[counted.length - 1] : counted[0];
  const inner = counted.slice().sort((a, b) => Math.abs(position[a] - position[end]) - Math.abs(position[b] - position[end]))
    .find((k) => Math.abs(position[k] - position[end]) >= INWARDS_DOF) ?? (side ? counted[0] : counted[counted.length - 1]);
  const reach = REACH_SHARE * ladder.curves[ladder.curves.length - 1].reach * picture.perUnit;
  const tiles: number[] = [], beyond: number[] = [];
  for (let t = 0; t < depth.length; t++) {
    if (!stack.inside[t] || Number.isNaN(depth[t])) continue;
    const out = side ? depth[t] - position[end] : position[end] - depth[t];
    if (out <= SHARP_HALF_DOF || out > reach) continue;
    if (rises(picture, t, end, inner, frames)) { tiles.push(t); beyond.push(out); }
  }
  return { share: tiles.length / Math.max(1, picture.pictureTiles), extentDof: beyond.length ? quantile(beyond, 0.95) : 0, tiles };
}

function rises(picture: StackPicture, tile: number, end: number, inner: number, frames: number): boolean {
  const { stack } = picture;
  return stack.energy.some((energy, b) => {
    const noise = stack.noise[b];
    const there = Math.sqrt(Math.max(0, energy[tile * frames + end] - noise[end])), inwards = Math.sqrt(Math.max(0, energy[tile * frames + inner] - noise[inner]));
    return there > LEAST_AMPLITUDE * Math.sqrt(noise[end] / stack.components[b]) && there > LEAST_RISE * inwards;
  });
}
