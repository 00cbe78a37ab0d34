import type { FrameFlag } from '../contract/report.js';
import { median } from '../ladder/statistics.js';
import type { Similarity } from '../registration/similarity.js';
import { lastingChange } from './lasting-change.js';
import type { StackPicture } from './stack-picture.js';

/** Two frames nearer than this (report DOF) show the same. */
export const REPEAT_DOF = 0.12;
/** A jump of the picture: more than this many source pixels, and six times the usual; in proportion more across longer steps than these, where blur pretends moves. */
const JUMP_PX = 3, JUMP_TIMES = 6, JUMP_STEP_DOF = 1;
/** Exposure that differs by more than this many EV is flagged; flashes wander by 0.02–0.05 EV (common practice, no source). */
const EXPOSURE_EV = 0.2;
/** Part of the subject moved: share of the picture that looks different for good, and times the usual. */
const MOVED_SHARE = 0.02, MOVED_TIMES = 4;

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
  jumps.forEach((jump, i) => { if (jump > limit * Math.max(1, Math.abs(position[i + 1] - position[i]) / JUMP_STEP_DOF)) flags[i + 1].push('shifted'); });
  const movedShare = lastingChange(picture, transforms);
  const usual = frames > 5 ? median(movedShare.subarray(2, frames - 1)) : 1;
  for (let k = 2; k < frames - 1; k++) {
    const nearby = movedShare.subarray(Math.max(0, k - 2), k + 3);
    if (movedShare[k] > Math.max(MOVED_SHARE, MOVED_TIMES * usual) && movedShare[k] >= Math.max(...nearby) && !flags[k - 1].includes('subject-moved')) flags[k].push('subject-moved');
  }
  return { flags, movedShare };
}
