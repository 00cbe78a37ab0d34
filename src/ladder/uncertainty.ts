import { withKernel } from './fast-kernel.js';
import { framesMoved, positionScatter } from './position-scatter.js';
import type { RefinedLadder } from './refine.js';
import { frameTies } from './frame-ties.js';
import type { SolveTiles } from './solve-tiles.js';
import type { TileStack } from './tile-stack.js';

/** Scale error of every step: OTF, wavelength and slope are not known better. */
const SCALE_ERROR = 0.005;
/**
 * And on steep or rough ground, in proportion to the variance of depth (DOF²) inside the tiles: how it is spread there is known roughly only, and the curve widens with it. Of
 * 1500 steps of rendered stacks those with little spread were off by 1.0 % (root of the mean square), at 0.05 DOF² by 2.1 %, above 0.1 by 3.2 %.
 */
const SPREAD_ERROR = 0.09;
/** And a few frames do not show a curve's width: this over their number squared (three frames of the sample were a third too short). */
const FEW_FRAMES_ERROR = 2;
/** And of a step to a frame placed by tails alone: their 95th percentile on rendered stacks is 17 %. Where more tiles are near it is less, as their number grows. */
const TAILS_SCALE_ERROR = 0.07;
/** A frame with fewer tiles than this within 1.5 DOF has nothing in focus; placed by tails alone. */
const LEAST_NEAR = 20, LEAST_NEAR_SHARE = 0.003;
/** Tiles so near to a frame's focus count for it. */
export const NEAR_DOF = 1.5;

export interface StepUncertainty { sigma: number; tailsOnly: boolean }

export interface LadderUncertainty {
  /** Standard deviation of z_a − z_b, DOF. */
  between(a: number, b: number): StepUncertainty;
  /** Tiles within 1.5 DOF of each frame. */
  near: Int32Array;
}

/**
 * Uncertainties of steps: what chance makes ({@link positionScatter}), what is left of the errors that all tiles share, and of every step a share that no picture tells.
 */
export function ladderUncertainty(stack: TileStack, tiles: SolveTiles, ladder: RefinedLadder, inverse: Float64Array, shared: readonly Float64Array[]): LadderUncertainty {
  const { trace, state } = ladder, { count, frames } = tiles, n = trace.unknowns;
  const moves = positionScatter(stack, tiles, trace, ladder.freeGain, inverse);
  const ties = frameTies(state).map(({ from, to, spread }) => {
    const pull = new Float64Array(n);
    pull[from] = -1 / spread; pull[to] = 1 / spread;
    return framesMoved(inverse, pull, n, frames);
  });
  const { near, nearSpread } = fastNear(state, ladder.tileTrust) ?? plainNear(state, ladder.tileTrust), all = joined([...moves, ...ties, ...shared], frames), least = Math.max(LEAST_NEAR, LEAST_NEAR_SHARE * count);
  return {
    near,
    between(a, b) {
      const step = Math.abs(state.z[a] - state.z[b]);
      const fewest = Math.min(near[a], near[b]), tailsOnly = fewest < least;
      const spread = (nearSpread[a] + nearSpread[b]) / Math.max(1, near[a] + near[b]);
      let variance = step ** 2 * (Math.max(SCALE_ERROR, TAILS_SCALE_ERROR * Math.min(1, least / Math.max(1, fewest))) ** 2 + (FEW_FRAMES_ERROR / frames ** 2) ** 2 + (SPREAD_ERROR * spread) ** 2);
      for (let from = 0; from < all.length; from += frames) { const off = all[from + a] - all[from + b]; variance += off * off; }
      return { sigma: Math.sqrt(variance), tailsOnly };
    },
  };
}

/** Moves of all frames, one after another. */
function joined(moves: readonly Float64Array[], frames: number): Float64Array {
  const out = new Float64Array(moves.length * frames);
  for (let i = 0; i < moves.length; i++) out.set(moves[i], i * frames);
  return out;
}

/** Tiles that count as near. */
const LEAST_TRUST = 0.2;

type Where = Pick<RefinedLadder['state'], 'z' | 'depth' | 'spread'>;
/** Tiles within reach of each frame, and the sum of their depth variances. */
interface Near { near: Int32Array; nearSpread: Float64Array }

export function plainNear({ z, depth, spread: [spread] }: Where, trust: Float64Array): Near {
  const near = new Int32Array(z.length), nearSpread = new Float64Array(z.length);
  for (let t = 0; t < depth.length; t++) {
    if (!(trust[t] > LEAST_TRUST)) continue;
    const here = depth[t], square = spread[t] * spread[t];
    for (let k = 0; k < z.length; k++) if (Math.abs(z[k] - here) < NEAR_DOF) { near[k]++; nearSpread[k] += square; }
  }
  return { near, nearSpread };
}

/** The same in WebAssembly; null where there is none, or no room. */
export function fastNear({ z, depth, spread: [spread] }: Where, trust: Float64Array): Near | null {
  return withKernel(({ kernel, arena }) => {
    const frames = z.length, tiles = depth.length, zAt = arena.take(8 * frames), [depthAt, spreadAt, trustAt] = [0, 1, 2].map(() => arena.take(8 * tiles)), nearAt = arena.take(4 * frames), squaresAt = arena.take(8 * frames), { buffer } = kernel.memory;
    new Float64Array(buffer, zAt, frames).set(z);
    new Float64Array(buffer, depthAt, tiles).set(depth);
    new Float64Array(buffer, spreadAt, tiles).set(spread);
    new Float64Array(buffer, trustAt, tiles).set(trust);
    const near = new Int32Array(buffer, nearAt, frames).fill(0), squares = new Float64Array(buffer, squaresAt, frames).fill(0);
    kernel.tilesNear(zAt, frames, depthAt, spreadAt, trustAt, tiles, LEAST_TRUST, NEAR_DOF, nearAt, squaresAt);
    return { near: near.slice(), nearSpread: squares.slice() };
  });
}
