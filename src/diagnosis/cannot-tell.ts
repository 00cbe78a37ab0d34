import { quantile, robustSpread } from '../ladder/statistics.js';
import { explainedShare } from './explained-share.js';
import type { StackPicture } from './stack-picture.js';

/** All frames within this range (report DOF) show the same. */
const SAME_FOCUS_DOF = 0.3;
/** The middle half and the middle 90 % of the depths within these ranges: a surface square to the axis, before and behind which focus looks alike. */
const ONE_DEPTH_HALF_DOF = 0.3, ONE_DEPTH_MOST_DOF = 1.2;
/** Share of the change in sharpness from frame to frame that the ladder must explain: on rendered stacks of every kind 0.8 and more, on frames of noise up to 0.4. */
const LEAST_EXPLAINED = 0.55;
/**
 * Spread of the frames' fine detail against what the fit says (ln), each less its neighbours' mean: of 140 rendered stacks of steady frames none showed more than
 * 0.010, of frames all shaken none less than 0.04. What a fit does wrong changes slowly along the axis and cancels.
 */
const UNSTEADY = 0.023;
const LEAST_JUDGED = 6;
/** Share of the picture that looks different from some frame on, above which the frames show two subjects, and one ladder can't hold both. */
const ANOTHER_SUBJECT_SHARE = 0.4;

/**
 * Why the fit must not be believed, with what would help; null where nothing speaks against it.
 *
 * @param moved frames from which on a share of the picture was another
 * @param labels short names of the frames
 */
export function cannotTell(picture: StackPicture, moved: readonly { frame: number; share: number }[], labels: readonly string[]): string | null {
  const { order, position, ladder } = picture;
  if (explainedShare(picture) < LEAST_EXPLAINED) {
    return 'From frame to frame nothing gets clearly sharper or softer: what is seen is mostly noise, or the frames don’t belong to one stack. Light the subject from the side, lower the ISO, and check that the folder holds one stack.';
  }
  const another = moved.find(({ share }) => share > ANOTHER_SUBJECT_SHARE);
  if (another) {
    return `From ${labels[another.frame]} on ${Math.round(100 * another.share)} % of the picture shows something else, as where two subjects or two lights share a folder. Put the frames of each into a folder of their own, and check those.`;
  }
  if (position[order[order.length - 1]] - position[order[0]] < SAME_FOCUS_DOF) {
    return 'All frames are focused at the same depth, as copies of one frame would be. Check that the rail moved, and that the folder holds the whole stack.';
  }
  const depths = depthsTrusted(ladder.state.depth, ladder.tileTrust);
  const within = (share: number): number => (quantile(depths, (1 + share) / 2) - quantile(depths, (1 - share) / 2)) * picture.perUnit;
  if (within(0.5) < ONE_DEPTH_HALF_DOF && within(0.9) < ONE_DEPTH_MOST_DOF) {
    return 'All that can be measured lies at one depth. Frames focused before it and behind it look alike then, so the steps can’t be told. Tilt the subject a little, or have something of another depth in the picture.';
  }
  const losses = order.flatMap((k) => (Number.isNaN(ladder.blurLoss[k]) || ladder.blurred[k] ? [] : [ladder.blurLoss[k]]));
  if (losses.length >= LEAST_JUDGED && unevenness(losses) > UNSTEADY) {
    return 'The frames differ in sharpness among themselves, as if most were blurred by movement. Let the rig settle, release by remote or timer, shorten the flash, and shoot the stack again.';
  }
  return null;
}

/** Standard deviation of independent values, by what each differs from the mean of its neighbours. */
function unevenness(values: readonly number[]): number {
  return robustSpread(values.slice(1, -1).map((v, i) => v - (values[i] + values[i + 2]) / 2)) / Math.sqrt(1.5);
}

function depthsTrusted(depth: Float64Array, trust: Float64Array): Float64Array {
  const out = new Float64Array(depth.length);
  let n = 0;
  for (let t = 0; t < depth.length; t++) if (trust[t] > 0.3) out[n++] = depth[t];
  return out.subarray(0, n);
}
