import { focusCurve } from '../ladder/focus-curve.js';
import type { SolvedStack } from './solve-stack.js';

/**
 * The present solution as another cutoff would read it, without solving again: what was measured is blur in pixels, so lengths in DOF grow
 * with the cutoff and nothing else moves. A first answer within a tenth of a second; {@link regrade} refines it.
 *
 * @param cutoff cycles per source pixel, above 0
 * @returns a copy; the given stack keeps its own solution
 */
export function rescaleSolution(solved: SolvedStack, cutoff: number): SolvedStack {
  const ratio = cutoff / solved.cutoff;
  const plan = { ...solved.plan, cutoff: cutoff * solved.plan.bin };
  const { ladder, uncertainty } = solved, times = (values: Float64Array): Float64Array => values.map((v) => v * ratio);
  return {
    ...solved, plan, cutoff, stack: { ...solved.stack, plan },
    ladder: ladder && {
      ...ladder, curves: ladder.slopes.map((slope, band) => focusCurve(plan, band, slope)),
      state: { ...ladder.state, z: times(ladder.state.z), depth: times(ladder.state.depth), spread: ladder.state.spread.map(times) },
    },
    uncertainty: uncertainty && {
      near: uncertainty.near,
      between(a, b) { const { sigma, tailsOnly } = uncertainty.between(a, b); return { sigma: sigma * ratio, tailsOnly }; },
    },
  };
}
