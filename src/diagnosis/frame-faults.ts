import type { FrameFlag } from '../contract/report.js';
import { median } from '../ladder/statistics.js';
import type { Similarity } from '../registration/similarity.js';
import type { StackPicture } from './stack-picture.js';

/** Two frames nearer than this (report DOF) show the same. */
const REPEAT_DOF = 0.12;
/** A jump of the picture: more than this many source pixels, and six times the usual. */
const JUMP_PX = 3, JUMP_TIMES = 6;
/** Exposure that differs by more than this many EV is flagged; flashes wander by 0.02–0.05 EV (common practice, no source). */
const EXPOSURE_EV = 0.2;
/** Part of the subject moved: lasting change of tile brightness (ln of √luminance), its share of the picture, and times the usual. */
const USUAL_JUMP_DOF = 1.4;
const BRIGHTNESS_CHANGE = 0.15, MOVED_SHARE = 0.02, MOVED_TIMES = 4;

export interface FrameFaults { flags: FrameFlag[][]; movedShare: Float64Array }

/**
 * What went wrong with which frame.
 *
 * @param exposureEv per frame, against the stack's median
 * @param transforms from the middle frame to each, measured pixels
 */
export function frameFaults(picture: StackPicture, transforms: readonly Similarity[], exposureEv: ArrayLike<number>): FrameFaults {
  const { stack, order, position, blurred, uncertainty } = picture, { frames } = stack;
  const flags = Array.from({ length: frames }, (): FrameFlag[] => []);
  for (let k = 0; k < frames; k++) {
    if (blurred[k]) flags[k].push('blurred');
    if (Math.abs(exposureEv[k]) > EXPOSURE_EV) flags[k].push('exposure');
  }
  for (let i = 1; i < order.length; i++) {
    const { tailsOnly } = uncertainty.between(order[i - 1], order[i]);
    if (position[order[i]] - position[order[i - 1]] < REPEAT_DOF && !tailsOnly) flags[Math.max(order[i - 1], order[i])].push('repeat');
  }
  const jumps = transforms.slice(1).map((p, i) => Math.hypot(p.row - transforms[i].row, p.column - transforms[i].column) * stack.plan.bin);
  const limit = Math.max(JUMP_PX, JUMP_TIMES * (jumps.length ? median(jumps) : 0));
  jumps.forEach((jump, i) => { if (jump > limit) flags[i + 1].push('shifted'); });
  const movedShare = lastingChange(picture);
  const usual = frames > 5 ? median(movedShare.subarray(2, frames - 1)) : 1;
  for (let k = 2; k < frames - 1; k++) {
    const nearby = movedShare.subarray(Math.max(0, k - 2), k + 3);
    if (movedShare[k] > Math.max(MOVED_SHARE, MOVED_TIMES * usual) && movedShare[k] >= Math.max(...nearby)) flags[k].push('subject-moved');
  }
  return { flags, movedShare };
}

/** Edge of the blocks that brightness is compared in, in tiles: blur spreads light within them, not between them. */
const BLOCK_TILES = 3;

/**
 * Share of the picture whose brightness differs between the two frames before and the two from frame k on, in capture order.
 * Defocus moves light by the width of a blur disc; where the focus jumps far between the two, more change is allowed for.
 */
function lastingChange({ stack, position }: StackPicture): Float64Array {
  const { frames, brightnessChange, inside, gridRows, gridColumns } = stack, share = new Float64Array(frames);
  const allowed = Float64Array.from({ length: frames }, (_, k) => {
    if (k < 2 || k >= frames - 1) return Infinity;
    const jump = Math.abs(position[k] + position[k + 1] - position[k - 1] - position[k - 2]) / 2;
    return BRIGHTNESS_CHANGE * Math.max(1, jump / USUAL_JUMP_DOF);
  });
  let blocks = 0;
  const mean = new Float64Array(frames);
  for (let top = 0; top < gridRows; top += BLOCK_TILES) for (let left = 0; left < gridColumns; left += BLOCK_TILES) {
    mean.fill(0);
    let n = 0;
    for (let r = top; r < Math.min(gridRows, top + BLOCK_TILES); r++) for (let c = left; c < Math.min(gridColumns, left + BLOCK_TILES); c++) {
      const t = r * gridColumns + c;
      if (!inside[t]) continue;
      n++;
      for (let k = 0; k < frames; k++) mean[k] += brightnessChange[t * frames + k];
    }
    if (n < BLOCK_TILES) continue;
    blocks++;
    for (let k = 2; k < frames - 1; k++) if (Math.abs(mean[k] + mean[k + 1] - mean[k - 1] - mean[k - 2]) / (2 * n) > allowed[k]) share[k]++;
  }
  return share.map((n) => n / Math.max(1, blocks));
}
