import type { Similarity } from '../registration/similarity.js';
import { dot } from './dot.js';
import { fastChangedShares } from './fast-lasting-change.js';
import { plainChangedShares, type Around, type Moment } from './plain-lasting-change.js';
import type { StackPicture } from './stack-picture.js';

/** Frames looked at before and after a moment. */
const FRAMES_EACH_SIDE = 3;
const LEAST_FRAMES = 5;
/** A block changed where its brightness (ln of √luminance) jumps by this; healthy blocks of rendered stacks keep within 0.005, at glints 0.01. */
const CHANGE = 0.02;
/** Frames farther apart in depth than this (report DOF, from their middle) are on no straight line: only a change too great for blur counts there. */
const STRAIGHT_DOF = 3.2, GREAT_CHANGE = 0.15;
/** Nor where the picture stood elsewhere before (measured pixels): it is lit otherwise there, and the lens darkens its corners. */
const ELSEWHERE_PX = 2;

/**
 * Share of the picture that looks different from frame k on, for each k in capture order.
 *
 * Defocus moves light slowly and steadily along the depth axis; a subject or a lamp that moved changes it from one shot to the next. So each
 * block's brightness over three frames before and three from k on, all near to each other in depth, is fitted by a straight line in depth and a
 * jump between before and after. Frames are picked by depth, so that top-ups and mixed stacks are judged as well as even ones.
 *
 * @param transforms from the middle frame to each, measured pixels
 */
export function lastingChange({ stack, position, order }: Pick<StackPicture, 'stack' | 'position' | 'order'>, transforms: readonly Similarity[]): Float64Array {
  const share = new Float64Array(stack.frames), at: number[] = [], moments: Moment[] = [];
  for (let k = 2; k < stack.frames - 1; k++) {
    const around = framesAround(order, position, k);
    if (!around) continue;
    const allowed = around.reachDof <= STRAIGHT_DOF && jumpPx(around.frame, transforms, k) < ELSEWHERE_PX ? CHANGE : GREAT_CHANGE * Math.max(1, around.reachDof / STRAIGHT_DOF);
    at.push(k);
    moments.push({ ...around, allowed });
  }
  (fastChangedShares(stack, moments) ?? plainChangedShares(stack, moments)).forEach((part, i) => { share[at[i]] = part; });
  return share;
}

/** The frames before k and from k on that lie nearest together in depth, all within `reachDof` of their middle; null: too few of them. */
function framesAround(order: readonly number[], position: Float64Array, k: number): (Around & { reachDof: number }) | null {
  let reachDof = Infinity, middle = 0, atBefore = 0, atAfter = 0;
  const before = order.filter((i) => i < k), after = order.filter((i) => i >= k), depthsBefore = Float64Array.from(before, (i) => position[i]), depthsAfter = Float64Array.from(after, (i) => position[i]);
  for (let i = 0; i + 1 < order.length; i++) {
    const at = (position[order[i]] + position[order[i + 1]]) / 2, b = nearest(depthsBefore, at), a = nearest(depthsAfter, at), farthest = Math.max(farthestOf(depthsBefore, b, at), farthestOf(depthsAfter, a, at));
    if (farthest < reachDof) { reachDof = farthest; middle = at; atBefore = b; atAfter = a; }
  }
  const frame = [...before.slice(atBefore, atBefore + FRAMES_EACH_SIDE), ...after.slice(atAfter, atAfter + FRAMES_EACH_SIDE)];
  if (frame.length < LEAST_FRAMES) return null;
  const ones = frame.map(() => 1 / Math.sqrt(frame.length)), depth = without(frame.map((i) => position[i] - middle), [ones]), length = Math.sqrt(dot(depth, depth));
  if (length < 1e-6) return null;
  const fit: Around['fit'] = [ones, depth.map((v) => v / length)], step = without(frame.map((i) => (i >= k ? 1 : 0)), fit);
  return dot(step, step) < 0.02 ? null : { frame, step, fit, reachDof };
}

/** How far the picture stood from where it stands, on the average of the frames before k and from k on. */
function jumpPx(frame: readonly number[], transforms: readonly Similarity[], k: number): number {
  const mean = (some: readonly number[], axis: 'row' | 'column'): number => some.reduce((sum, i) => sum + transforms[i][axis], 0) / some.length;
  const before = frame.filter((i) => i < k), after = frame.filter((i) => i >= k);
  return Math.hypot(mean(after, 'row') - mean(before, 'row'), mean(after, 'column') - mean(before, 'column'));
}

/** Where the frames nearest to a depth begin, of sorted depths. */
function nearest(sorted: Float64Array, at: number): number {
  let from = 0;
  while (from + FRAMES_EACH_SIDE < sorted.length && Math.abs(sorted[from + FRAMES_EACH_SIDE] - at) < Math.abs(sorted[from] - at)) from++;
  return from;
}

/** How far they lie from it: the first or the last of them the farthest. */
function farthestOf(sorted: Float64Array, from: number, at: number): number {
  return Math.max(Math.abs(sorted[from] - at), Math.abs(sorted[Math.min(from + FRAMES_EACH_SIDE, sorted.length) - 1] - at));
}

function without(v: number[], axes: readonly number[][]): number[] {
  return axes.reduce((rest, axis) => { const along = dot(axis, rest); return rest.map((x, i) => x - along * axis[i]); }, v);
}
