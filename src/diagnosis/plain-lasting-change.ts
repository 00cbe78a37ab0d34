import { dot } from './dot.js';
import type { StackPicture } from './stack-picture.js';

/** Edge of the blocks that brightness is compared in, in tiles: blur spreads light within them, not between them. */
export const BLOCK_TILES = 3;
/** A jump counts where it is this many times what a straight line on both sides of it leaves unexplained: the light of a glint's disc wanders, it doesn't jump. */
export const CLEAR = 9;

/** Frames before and after a moment. */
export interface Around {
  frame: number[];
  /** The jump, at right angles to a constant and to the depth. */
  step: number[];
  /** Constant and depth as axes of length 1, at right angles. */
  fit: [number[], number[]];
}

/** A moment, and the jump of brightness that blur may make there. */
export interface Moment extends Around { allowed: number }

export type Brightness = Pick<StackPicture['stack'], 'frames' | 'brightnessChange' | 'inside' | 'gridRows' | 'gridColumns'>;

/** Share of a stack's blocks that changed at each of some moments. */
export function plainChangedShares(stack: Brightness, moments: readonly Moment[]): number[] {
  const blocks = blockBrightness(stack);
  return moments.map((moment) => changedBlocks(blocks, moment) / Math.max(1, blocks.length));
}

function changedBlocks(blocks: readonly Float64Array[], { frame, step, fit, allowed }: Moment): number {
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
  return changed;
}

/** Inner product with a block's light in some frames. */
function along(axis: readonly number[], frame: readonly number[], light: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < frame.length; i++) sum += axis[i] * light[frame[i]];
  return sum;
}

/** ln brightness of blocks of tiles over the frames, those inside all frames. */
function blockBrightness({ frames, brightnessChange, inside, gridRows, gridColumns }: Brightness): Float64Array[] {
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
