import type { Finding, Step } from '../contract/report.js';
import { ladderUnit } from '../ladder/ladder-unit.js';
import { standardDofFactor } from '../optics/standard-depth-of-field.js';
import type { MeasurePlan } from '../sharpness/measure-plan.js';
import { VAGUE_SHARE, type gradeStep } from './grade-step.js';

/** So many times its neighbours a step is an exception in its stack, whatever the lens. */
const EXCEPTION = 1.6;
/** A gap that only the common scale makes one is called so from this many of the scale's sigmas beyond its limit. */
const SURE_SIGMAS = 1.5;

/**
 * Relative uncertainty that all lengths in DOF share where the cutoff was found from the frames: positions in ladder units hardly change with it.
 *
 * @param cutoff cycles per pixel of the picture that is judged
 * @param sigmaLn standard deviation of its logarithm
 */
export function scaleUncertainty(plan: MeasurePlan, cutoff: number, sigmaLn: number): number {
  const lnUnit = (off: number): number => Math.log(ladderUnit({ ...plan, cutoff: plan.cutoff * Math.exp(off) }) / standardDofFactor(cutoff * Math.exp(off)));
  return Math.abs(lnUnit(sigmaLn) - lnUnit(-sigmaLn)) / 2;
}

/**
 * A grade under that uncertainty: a gap stays one where it is clearly longer than its stack's other steps, or so long that no likely lens makes it good;
 * and good is only what stays within a DOF should the scale be a sigma too short.
 *
 * @param usualDof median of the stack's steps
 * @param scaleSigma relative; 0 where the lens is known
 */
export function gradeInDoubt(graded: ReturnType<typeof gradeStep>, stepDof: number, usualDof: number, scaleSigma: number): ReturnType<typeof gradeStep> {
  if (graded.grade === 'good' && mayLeaveGap(stepDof, scaleSigma)) return { ...graded, grade: 'thin' };
  if (graded.grade !== 'gap' || stepDof > EXCEPTION * usualDof || Math.log(stepDof) > SURE_SIGMAS * scaleSigma) return graded;
  return { grade: 'unmeasured', atLeast: false };
}

/** Longer than a DOF should the scale be a sigma too short. */
function mayLeaveGap(stepDof: number, scaleSigma: number): boolean { return Math.log(stepDof) > -scaleSigma; }

/** A step well measured, of which the common scale alone decides whether it leaves a gap. */
export function isInDoubt({ grade, stepDof, sigmaDof }: Step, scaleSigma: number): boolean {
  return scaleSigma > 0 && (grade === 'thin' || grade === 'unmeasured') && stepDof !== null && sigmaDof !== null && sigmaDof < VAGUE_SHARE * stepDof && mayLeaveGap(stepDof, scaleSigma);
}

export function scaleFinding(scaleSigma: number): Finding {
  return {
    kind: 'scale-uncertain', severity: 'info', frames: [],
    message: `Lens and magnification are not known: the length of all steps in DOF may be off together, by about ±${Math.round(100 * scaleSigma)} %. How they compare with each other is known better.`,
    remedy: 'Give --magnification and --aperture, or a rig card (--rig).',
  };
}
