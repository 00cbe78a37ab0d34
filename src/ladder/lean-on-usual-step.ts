import type { LadderState } from './joint-solve.js';
import { orderAlong } from './order-along.js';
import { median, robustSpread } from './statistics.js';
import type { StepUncertainty } from './uncertainty.js';

/** Steps known to within this share of the usual one say how evenly the stack was shot, and are left as they are. */
const SURE_SHARE = 0.04;
/** From fewer of them nothing is concluded. */
const LEAST_SURE = 6;
/** No rail is taken to be more even than this share of its step: a few steps don't show it. */
const LEAST_SCATTER_SHARE = 0.06;
/** From about so many standard deviations off the usual step one is believed to be another: a slip, a gap, a repeat. */
const OTHER_SIGMAS = 3;

/**
 * Steps that little is seen of lean on the stack's own usual step, as far as they are uncertain and the well-measured steps are alike (empirical Bayes, Robbins 1956;
 * the pull fades for steps that stand apart). Where no surface is near, chance and small errors of the curves' far tails would else move a frame by more than any rail does.
 *
 * @param between standard deviation of the distance of two frames, DOF
 * @returns what to add to each frame's position, DOF
 */
export function leanOnUsualStep({ z }: Pick<LadderState, 'z'>, between: (a: number, b: number) => Pick<StepUncertainty, 'sigma'>): Float64Array {
  const correction = new Float64Array(z.length), order = orderAlong(z), pairs = order.slice(1).map((to, i) => ({ step: z[to] - z[order[i]], sigma: between(order[i], to).sigma }));
  if (pairs.length === 0) return correction;
  const sure = pairs.filter(({ step, sigma }) => sigma < SURE_SHARE * step).map(({ step }) => step);
  if (sure.length < LEAST_SURE) return correction;
  const usual = median(sure), scatter = Math.max(LEAST_SCATTER_SHARE * usual, robustSpread(sure)), left = SURE_SHARE * usual;
  let moved = 0;
  pairs.forEach(({ step, sigma }, i) => {
    const doubt = Math.max(0, sigma * sigma - left * left), apart = (step - usual) / Math.hypot(sigma, scatter);
    moved += (doubt / (doubt + scatter * scatter) / (1 + (apart / OTHER_SIGMAS) ** 4)) * (usual - step);
    correction[order[i + 1]] = moved;
  });
  return correction;
}
