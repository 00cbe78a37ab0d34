import { focusCurve } from '../ladder/focus-curve.js';
import type { SolvedStack } from './solve-stack.js';

/**
 * The present solution as another cutoff would read it, without solving again: what was measured is blur in pixels, which is
 * what ladder units count; only their length in DOF is another. A first answer within a tenth of a second; {@link regrade} refines it.
 *
 * @param cutoff cycles per source pixel, above 0
 * @returns a copy; the given stack keeps its own solution
 */
export function rescaleSolution(solved: SolvedStack, cutoff: number): SolvedStack {
  const plan = { ...solved.plan, cutoff: cutoff * solved.plan.bin }, { ladder } = solved;
  return {
    ...solved, plan, cutoff, stack: { ...solved.stack, plan },
    ladder: ladder && { ...ladder, plan, curves: ladder.slopes.map((slope, band) => focusCurve(plan, band, slope)) },
  };
}
