import type { Grade } from '../contract/report.js';
import { GOOD_OVERLAP, gradeOfOverlap } from '../optics/step-grade.js';

/** A sigma above this share of the step says that little was to be seen there. */
export const VAGUE_SHARE = 0.25;
/** A gap next to a frame with nothing in focus is called one only this many sigmas beyond its limit. */
const TAILS_SIGMAS = 3;

/**
 * Grade of a measured step: by its overlap where it is known well, else only what its uncertainty allows.
 *
 * @param stepDof, sigmaDof in report DOF; sigma is the step's own, without what all steps share under an unknown lens: that says nothing of what was to be seen here
 * @param tailsOnly one of the frames has nothing in focus
 */
export function gradeStep(stepDof: number, sigmaDof: number, tailsOnly: boolean): { grade: Grade; atLeast: boolean } {
  if (tailsOnly) {
    if (stepDof - TAILS_SIGMAS * sigmaDof > 1) return { grade: 'gap', atLeast: true };
    const most = stepDof + 2 * sigmaDof;
    if (most < 1) return { grade: most < 1 - GOOD_OVERLAP ? 'good' : 'thin', atLeast: false };
    return { grade: 'unmeasured', atLeast: false };
  }
  const vague = sigmaDof > VAGUE_SHARE * Math.max(stepDof, 0.3);
  if (!vague) {
    const grade = gradeOfOverlap(1 - stepDof);
    return { grade: grade === 'good' && stepDof + sigmaDof > 1 ? 'thin' : grade, atLeast: false };
  }
  if (stepDof - 2 * sigmaDof > 1) return { grade: 'gap', atLeast: true };
  if (stepDof + 2 * sigmaDof < 1 - GOOD_OVERLAP) return { grade: 'good', atLeast: false };
  return { grade: 'unmeasured', atLeast: false };
}
