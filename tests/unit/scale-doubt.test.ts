import { describe, expect, it } from 'vitest';
import { gradeInDoubt, scaleUncertainty } from '../../src/diagnosis/scale-doubt.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';

describe('steps under an unknown lens', () => {
  const gap = { grade: 'gap', atLeast: false } as const;
  // By hand: 1.1 is a tenth above the limit, less than 1.5 · 12 %; 1.9 is not.
  it('leave open what only the common scale makes a gap', () => {
    expect(gradeInDoubt(gap, 1.1, 1.05, 0.12).grade).toBe('unmeasured');
    expect(gradeInDoubt(gap, 1.9, 1.8, 0.12).grade).toBe('gap');
  });
  it('keep a gap that stands out of its own stack, and every gap under a known lens', () => {
    expect(gradeInDoubt(gap, 1.1, 0.55, 0.12).grade).toBe('gap');
    expect(gradeInDoubt(gap, 1.02, 1, 0).grade).toBe('gap');
  });
  it('don’t turn a good step into another', () => {
    expect(gradeInDoubt({ grade: 'good', atLeast: false }, 0.6, 0.6, 0.3).grade).toBe('good');
  });

  // By hand, for bands fixed at 0.28 of a cutoff of 0.42 and a reference at 0.3 of any: a blur in pixels is s(1 − s) in ladder units, s ∝ 1/cutoff, so
  // d ln step / d ln cutoff = 1 − s/(1 − s) = 0.61. Coarse pixels fix the reference too, and the two nearly cancel.
  it('share an error that follows from the cutoff’s', () => {
    expect(scaleUncertainty(planMeasurement(900, 900, 0.42), 0.42, 0.1)).toBeCloseTo(0.061, 2);
    expect(scaleUncertainty({ ...planMeasurement(900, 900, 0.42), cutoff: 4 }, 4, 0.1)).toBeLessThan(0.012);
  });
});
