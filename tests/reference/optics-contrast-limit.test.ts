import { describe, expect, it } from 'vitest';
import { midpointContrast } from '../../src/optics/midpoint-contrast.js';
import { referenceFrequencyRatio, standardDepthOfFieldUm, standardDofFactor } from '../../src/optics/standard-depth-of-field.js';
import { wavesAtContrast } from '../../src/optics/waves-at-contrast.js';

/** Half of the tables' last digit. */
const ROUNDING = 0.5e-4 + 1e-9;

describe('defocus at which contrast falls (table of the project’s optics page)', () => {
  it.each([
    [0.1, 0.5832, 0.9861, 1.7136], [0.2, 0.3299, 0.5582, 0.9744], [0.3, 0.2527, 0.4279, 0.75],
    [0.5, 0.2144, 0.3633, 0.642], [0.7, 0.2574, 0.4368, 0.7773],
  ])('s %d: to .8 at %d, .5 at %d, gone at %d waves', (s, at80, at50, zero) => {
    expect(Math.abs(wavesAtContrast(s, 0.8) - at80)).toBeLessThanOrEqual(ROUNDING);
    expect(Math.abs(wavesAtContrast(s, 0.5) - at50)).toBeLessThanOrEqual(ROUNDING);
    expect(Math.abs(wavesAtContrast(s, 0) - zero)).toBeLessThanOrEqual(ROUNDING);
  });
  it('finds the first crossing only, also at the ends of its range', () => {
    // Far below the cutoff a defocused point is an even disc, whose transfer function is 2 J₁(x)/x with x = 8πWs
    // (Stokseth 1969, geometric limit): its first zero is J₁'s, 3.8317 (Abramowitz & Stegun, table 9.5).
    // What is left, 8πWs²-fold, is the finite s: 0.2 % at s = 0.001.
    expect(Math.abs(wavesAtContrast(0.001, 0) * 8 * Math.PI * 0.001 / 3.8317 - 1)).toBeLessThan(0.002);
    expect(wavesAtContrast(0.99, 0.8)).toBeGreaterThan(0);
    expect(() => wavesAtContrast(0, 0.8)).toThrow(RangeError);
    expect(() => wavesAtContrast(0.3, 1)).toThrow(RangeError);
    expect(() => wavesAtContrast(NaN, 0.5)).toThrow(RangeError);
  });
});

describe('worst contrast half-way between two frames, s .3 (table of the project’s optics page)', () => {
  it.each([[0.5, 0.948], [0.75, 0.886], [1, 0.804], [1.25, 0.706], [1.5, 0.597], [2, 0.368], [2.5, 0.158]])('step %d λ/NA²: %d', (step, contrast) => {
    expect(Math.abs(midpointContrast(step, 0.3) - contrast)).toBeLessThanOrEqual(0.5e-3 + 1e-9);
  });
});

describe('the depth-of-field standard', () => {
  it('is 1.01 λ/NA² where diffraction sets the reference detail (project optics page: 4 × .2527)', () => {
    for (const cutoff of [0.05, 0.42, 0.83]) {
      expect(referenceFrequencyRatio(cutoff)).toBe(0.3);
      expect(Math.abs(standardDofFactor(cutoff) - 4 * 0.2527)).toBeLessThanOrEqual(4 * ROUNDING);
    }
  });
  it('follows the pixels where they set it: 4 × .3299 at s .2, 4 × .5832 at s .1 (same table)', () => {
    expect(referenceFrequencyRatio(1.25)).toBeCloseTo(0.2, 12);
    expect(Math.abs(standardDofFactor(1.25) - 4 * 0.3299)).toBeLessThanOrEqual(4 * ROUNDING);
    expect(Math.abs(standardDofFactor(2.5) - 4 * 0.5832)).toBeLessThanOrEqual(4 * ROUNDING);
    expect(standardDepthOfFieldUm(24.84, 2.5)).toBeCloseTo(24.84 * 4 * 0.5832, 1);
  });
  it('never shrinks as pixels get coarser', () => {
    let last = 0;
    for (let cutoff = 0.2; cutoff < 20; cutoff *= 1.2) {
      const factor = standardDofFactor(cutoff);
      expect(factor).toBeGreaterThanOrEqual(last);
      last = factor;
    }
  });
  it('refuses a cutoff that is not positive', () => {
    expect(() => standardDofFactor(0)).toThrow(RangeError);
    expect(() => standardDofFactor(NaN)).toThrow(RangeError);
  });
});
