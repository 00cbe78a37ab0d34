import type { Similarity } from '../registration/similarity.js';
import type { StackPicture } from './stack-picture.js';

/** Edge of the blocks that brightness is compared in, in tiles: blur spreads light within them, not between them. */
const BLOCK_TILES = 3;
/** Frames looked at before and after a moment. */
const FRAMES_EACH_SIDE = 3;
const LEAST_FRAMES = 5;
/** A block changed where its brightness (ln of √luminance) jumps by this; healthy blocks of rendered stacks keep within 0.005, at glints 0.01. */
const CHANGE = 0.02;
/** … and by this many times what a straight line on both sides of the jump leaves unexplained: the light of a glint's disc wanders, it doesn't jump. */
const CLEAR = 9;
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
  const { frames } = stack, share = new Float64Array(frames), blocks = blockBrightness(stack);
  for (let k = 2; k < frames - 1; k++) {
    const around = framesAround(order, position, k);
    if (!around) continue;
    const { frame, step, fit } = around, allowed = around.reachDof <= STRAIGHT_DOF && jumpPx(frame, transforms, k) < ELSEWHERE_PX ? CHANGE : GREAT_CHANGE * Math.max(1, around.reachDof / STRAIGHT_DOF);
    let changed = 0;
    const stepSquare = dot(step, step);
    for (const light of blocks) {
      const jump = along(step, frame, light) / stepSquare;
      if (Math.abs(jump) <= allowed) continue;
      const y = frame.map((i) => light[i]);
      // What is left after line and jump: y without its mean, its part along the depth, and its part along the jump.
      const left = Math.max(0, dot(y, y) - fit.reduce((sum, axis) => sum + dot(axis, y) ** 2, 0) - jump ** 2 * stepSquare);
      if (Math.abs(jump) * Math.sqrt(stepSquare) > CLEAR * Math.sqrt(left / (frame.length - 3))) changed++;
    }
    share[k] = changed / Math.max(1, blocks.length);
  }
  return share;
}

interface Around {
  frame: number[];
  /** The jump, at right angles to a constant and to the depth. */
  step: number[];
  /** Constant and depth as axes of length 1, at right angles. */
  fit: number[][];
  /** All frames lie this near to their middle. */
  reachDof: number;
}

/** The frames before k and from k on that lie nearest together in depth; null: too few of them. */
function framesAround(order: readonly number[], position: Float64Array, k: number): Around | null {
  let frame: number[] = [], reachDof = Infinity, middle = 0;
  const before = order.filter((i) => i < k), after = order.filter((i) => i >= k);
  for (let i = 0; i + 1 < order.length; i++) {
    const at = (position[order[i]] + position[order[i + 1]]) / 2;
    const near = [...nearest(before, position, at), ...nearest(after, position, at)], farthest = Math.max(...near.map((j) => Math.abs(position[j] - at)));
    if (farthest < reachDof) { reachDof = farthest; frame = near; middle = at; }
  }
  if (frame.length < LEAST_FRAMES) return null;
  const ones = frame.map(() => 1 / Math.sqrt(frame.length)), depth = without(frame.map((i) => position[i] - middle), [ones]), length = Math.sqrt(dot(depth, depth));
  if (length < 1e-6) return null;
  const fit = [ones, depth.map((v) => v / length)], step = without(frame.map((i) => (i >= k ? 1 : 0)), fit);
  return dot(step, step) < 0.02 ? null : { frame, step, fit, reachDof };
}

/** How far the picture stood from where it stands, on the average of the frames before k and from k on. */
function jumpPx(frame: readonly number[], transforms: readonly Similarity[], k: number): number {
  const mean = (some: readonly number[], axis: 'row' | 'column'): number => some.reduce((sum, i) => sum + transforms[i][axis], 0) / some.length;
  const before = frame.filter((i) => i < k), after = frame.filter((i) => i >= k);
  return Math.hypot(mean(after, 'row') - mean(before, 'row'), mean(after, 'column') - mean(before, 'column'));
}

/** The frames nearest to a depth, of frames sorted by depth. */
function nearest(sorted: readonly number[], position: Float64Array, at: number): number[] {
  let from = 0;
  while (from + FRAMES_EACH_SIDE < sorted.length && Math.abs(position[sorted[from + FRAMES_EACH_SIDE]] - at) < Math.abs(position[sorted[from]] - at)) from++;
  return sorted.slice(from, from + FRAMES_EACH_SIDE);
}

function without(v: number[], axes: readonly number[][]): number[] {
  return axes.reduce((rest, axis) => { const along = dot(axis, rest); return rest.map((x, i) => x - along * axis[i]); }, v);
}

/** Inner product with a block's light in some frames. */
function along(axis: readonly number[], frame: readonly number[], light: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < frame.length; i++) sum += axis[i] * light[frame[i]];
  return sum;
}

function dot(a: readonly number[], b: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
}

/** ln brightness of blocks of tiles over the frames, those inside all frames. */
function blockBrightness({ frames, brightnessChange, inside, gridRows, gridColumns }: StackPicture['stack']): Float64Array[] {
  const blocks: Float64Array[] = [];
  for (let top = 0; top < gridRows; top += BLOCK_TILES) for (let left = 0; left < gridColumns; left += BLOCK_TILES) {
    const sum = new Float64Array(frames);
    let n = 0;
    for (let r = top; r < Math.min(gridRows, top + BLOCK_TILES); r++) for (let c = left; c < Math.min(gridColumns, left + BLOCK_TILES); c++) {
      const t = r * gridColumns + c;
      if (!inside[t]) continue;
      n++;
      for (let k = 0; k < frames; k++) sum[k] += brightnessChange[t * frames + k];
    }
    if (n >= BLOCK_TILES) blocks.push(sum.map((v) => v / n));
  }
  return blocks;
}
