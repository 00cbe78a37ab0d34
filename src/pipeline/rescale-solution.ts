import { DEFOCUS_COUNT } from '../ladder/otf-table.js';
import { focusCurve, type FocusCurve } from '../ladder/focus-curve.js';
import type { LadderState } from '../ladder/joint-solve.js';
import type { LadderUncertainty } from '../ladder/uncertainty.js';
import type { SolvedStack } from './solve-stack.js';

/**
 * The present solution as another cutoff would read it, without solving again. What was measured is how wide the curves are in the frames' own steps; ladder units count blur in
 * pixels, so that another cutoff changes little in them but what diffraction leaves of a curve's width. A first answer within a tenth of a second; {@link regrade} refines it.
 *
 * @param cutoff cycles per source pixel, above 0
 * @returns a copy; the given stack keeps its own solution
 */
export function rescaleSolution(solved: SolvedStack, cutoff: number): SolvedStack {
  const plan = { ...solved.plan, cutoff: cutoff * solved.plan.bin }, { ladder, uncertainty } = solved, rescaled = { ...solved, plan, cutoff, stack: { ...solved.stack, plan } };
  if (!ladder) return rescaled;
  const curves = ladder.slopes.map((slope, band) => focusCurve(plan, band, slope)), before = ladder.slopes.map((slope, band) => focusCurve(solved.plan, band, slope));
  const stretch = Math.exp(curves.reduce((sum, curve, b) => sum + Math.log(halfWidth(curve) / halfWidth(before[b])), 0) / curves.length);
  return { ...rescaled, ladder: { ...ladder, plan, curves, state: stretched(ladder.state, stretch) }, uncertainty: uncertainty && stretchedBetween(uncertainty, stretch) };
}

/** Defocus at which a curve's energy has fallen to half, in steps of its table. */
function halfWidth({ energy }: FocusCurve): number {
  const below = energy.subarray(0, DEFOCUS_COUNT).findIndex((v) => v < 0.5);
  return below > 0 ? below - (0.5 - energy[below]) / (energy[below - 1] - energy[below]) : DEFOCUS_COUNT;
}

function stretched(state: LadderState, by: number): LadderState {
  const all = (values: Float64Array): Float64Array => values.map((v) => v * by);
  return { ...state, z: all(state.z), depth: all(state.depth), spread: state.spread.map(all), bend: state.bend.map(all) };
}

function stretchedBetween({ between, ...rest }: LadderUncertainty, by: number): LadderUncertainty {
  return { ...rest, between: (a, b) => { const { sigma, ...known } = between(a, b); return { sigma: sigma * by, ...known }; } };
}
