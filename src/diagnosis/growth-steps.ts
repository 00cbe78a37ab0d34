import { median, robustSpread } from '../ladder/statistics.js';
import type { NeighbourGrowth } from '../registration/growth-steps.js';

/** A step as the focus curves have it; sigma and step in the same unit. */
export interface FocusStep { stepDof: number; sigmaDof: number; measured: boolean }

/** A step as the growth of the picture has it, a second meter that knows nothing of focus. */
export interface GrowthStep {
  stepDof: number;
  sigmaDof: number;
  /** (growth − focus) ÷ what both may be off together, were the focus curves right; null where those don't measure this step. */
  pull: number | null;
}

/** Steps of measured intervals from which the ratio of growth to step is taken; fewer say nothing. */
const LEAST_INTERVALS = 6;
/** Shorter steps than this (DOF) say little of the ratio. */
const SHORT_DOF = 0.2;
/** A ratio that the intervals agree on less well than this (standard error, relative) is none. */
const MOST_RATIO_ERROR = 0.2;
/** Relative error of growth as a meter that doesn't show in its scatter over ordinary steps: defocus pretends some (design: 20–30 % a step). */
const OWN_ERROR = 0.2;
/** A meter whose scatter (DOF) exceeds the usual step this often says nothing of single steps. */
const MOST_SCATTER = 0.75;

/**
 * Every interval's step by the growth of the picture, scaled by the other intervals' median ratio of growth to step (each is judged by a
 * ratio it has no part in), with the scatter that those show about it.
 *
 * @returns one per interval; null where growth says nothing: not registered, no steady ratio, too noisy
 */
export function growthSteps(growth: readonly (NeighbourGrowth | null)[], steps: readonly FocusStep[]): (GrowthStep | null)[] {
  const usable = steps.map((step, i) => growth[i] !== null && step.measured && step.stepDof > SHORT_DOF);
  return steps.map((_, i) => {
    const own = growth[i], others = steps.flatMap((__, j) => (j !== i && usable[j] ? [j] : []));
    if (!own || others.length < LEAST_INTERVALS) return null;
    const ratios = others.map((j) => growth[j]!.lnScale / steps[j].stepDof), ratio = median(ratios);
    const ratioError = (1.25 * robustSpread(ratios)) / Math.sqrt(ratios.length) / Math.abs(ratio);
    if (!(ratioError < MOST_RATIO_ERROR)) return null;
    const off = others.map((j) => growth[j]!.lnScale / ratio - steps[j].stepDof), usual = median(others.map((j) => steps[j].stepDof));
    // About zero, not about their middle: a meter that is off is no better for being off evenly.
    const scatter = 1.4826 * median(off.map(Math.abs));
    if (scatter > MOST_SCATTER * usual) return null;
    const stepDof = own.lnScale / ratio;
    // What the windows of this pair show of their own noise counts where it is more than usual.
    const noise = Math.max(scatter, own.sigma / Math.abs(ratio)), share = Math.hypot(OWN_ERROR, ratioError), focus = steps[i];
    const sigmaAt = (step: number): number => Math.hypot(noise, share * step);
    return { stepDof, sigmaDof: sigmaAt(stepDof), pull: focus.measured ? (stepDof - focus.stepDof) / Math.hypot(sigmaAt(focus.stepDof), focus.sigmaDof) : null };
  });
}
