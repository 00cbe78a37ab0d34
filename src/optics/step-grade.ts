import type { Grade } from '../contract/report.js';
import { requirePositive } from './require-positive.js';

/** Overlap of neighbouring rungs from which a step counts as good. */
export const GOOD_OVERLAP = 0.2;

/**
 * Overlap of two frames' sharp depths, 1 − step/DOF.
 *
 * @param step any unit, 0 or more
 * @param dof same unit, above 0
 * @returns 1 (same place) … 0 (just touching) … negative (a gap, as a share of the DOF)
 * @throws RangeError for a DOF that is not positive or a step that is not a number
 */
export function overlapOf(step: number, dof: number): number {
  requirePositive('depth of field', dof);
  if (!Number.isFinite(step)) throw new RangeError(`step must be a number, got ${step}`);
  return 1 - step / dof;
}

/**
 * Grade of a step by its overlap: good from 0.20, thin from 0, a gap below. A step nobody could measure is not graded here.
 */
export function gradeOfOverlap(overlap: number): Exclude<Grade, 'unmeasured'> {
  if (Number.isNaN(overlap)) throw new RangeError('overlap must be a number');
  // Overlaps come from 1 − step/DOF: a step of exactly 0.8 DOF must not fall below the limit by a rounding of 1e-16.
  if (overlap >= GOOD_OVERLAP - 1e-12) return 'good';
  return overlap >= -1e-12 ? 'thin' : 'gap';
}
