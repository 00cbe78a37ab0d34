import { describe, expect, it } from 'vitest';
import type { Step } from '../../src/contract/report.js';
import { decide, type Evidence } from '../../src/diagnosis/decide.js';
import { gradeStep } from '../../src/diagnosis/grade-step.js';
import { gradeInDoubt } from '../../src/diagnosis/scale-doubt.js';

const LABELS = ['1', '2', '3', '4', '5'];

/** Steps measured to 2 %, as they are graded where the lens is known to `scaleSigma` only. */
function graded(stepsDof: readonly number[], usualDof: number, scaleSigma: number): Step[] {
  return stepsDof.map((stepDof, i) => {
    const sigmaDof = 0.02 * stepDof;
    return { from: i, to: i + 1, stepDof, sigmaDof, stepUm: null, overlap: 1 - stepDof, softAreaShare: 0, surfaceShare: 0.25, ...gradeInDoubt(gradeStep(stepDof, sigmaDof, false), stepDof, usualDof, scaleSigma) };
  });
}
const verdict = (steps: readonly Step[], scaleSigma: number): string => decide({ frames: 5, labels: LABELS, steps, bands: [], openEnds: [], moved: [], topUpFrames: 0, dofUm: null, scaleSigma } satisfies Evidence).decision;

// By hand, from what one standard deviation means: a scale known to ±26 % leaves a step of 0.6 within 0.76, one of 0.9 within 1.13, beyond the limit of 1.
describe('verdict where the lens is known to a quarter', () => {
  it('knows steps that are good under every likely lens, however vague their common scale', () => {
    const steps = graded([0.6, 0.62, 0.58, 0.6], 0.6, 0.26);
    expect(steps.map(({ grade }) => grade)).toEqual(['good', 'good', 'good', 'good']);
    expect(verdict(steps, 0.26)).toBe('keep');
  });
  it('does not keep a stack whose every step may leave a gap', () => {
    const steps = graded([0.9, 0.88, 0.92, 0.9], 0.9, 0.26);
    expect(steps.some(({ grade }) => grade === 'good' || grade === 'gap')).toBe(false);
    expect(verdict(steps, 0.26)).toBe('undecided');
    expect(verdict(graded([0.9, 0.88, 0.92, 0.9], 0.9, 0), 0)).toBe('keep');
  });
  it('names the lens as what is missing, not frames', () => {
    const evidence: Evidence = { frames: 5, labels: LABELS, steps: graded([1.05, 0.95, 1.1, 1], 1.02, 0.26), bands: [], openEnds: [], moved: [], topUpFrames: 0, dofUm: null, scaleSigma: 0.26 };
    expect(decide(evidence).reasons[0]).toContain('magnification and aperture');
  });
});
