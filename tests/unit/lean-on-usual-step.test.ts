import { describe, expect, it } from 'vitest';
import { leanOnUsualStep } from '../../src/ladder/lean-on-usual-step.js';

/** Positions from steps, and the correction as it changes each step; `doubt`: standard deviations of the steps, 1 % of the usual one where not given. */
function leaned(steps: number[], doubt: Record<number, number> = {}, usual = 0.6): number[] {
  const z = Float64Array.from([0, ...steps.map((_, i) => steps.slice(0, i + 1).reduce((sum, s) => sum + s, 0))]);
  const correction = leanOnUsualStep({ z }, (a, b) => ({ sigma: doubt[Math.min(a, b)] ?? 0.01 * usual }));
  return steps.map((step, i) => step + correction[i + 1] - correction[i]);
}
const even = [0.6, 0.61, 0.59, 0.6, 0.62, 0.6, 0.58, 0.6];

describe('leanOnUsualStep', () => {
  it('leaves every step that is known well as it is', () => {
    expect(leaned(even)).toEqual(even.map((step) => expect.closeTo(step, 12)));
  });

  // Source: posterior mean of a normal step under a normal prior (Gelman et al., Bayesian Data Analysis, 2.5): the weight of the prior is σ²/(σ² + τ²), between 0 and 1.
  it('moves a step that little is seen of towards the others, further the less is seen', () => {
    const after = (sigma: number) => leaned([...even, 0.5], { 8: sigma })[8];
    expect(after(0.03)).toBeGreaterThan(0.5);
    expect(after(0.06)).toBeGreaterThan(after(0.03));
    expect(after(0.5)).toBeGreaterThan(0.595);
    expect(after(0.5)).toBeLessThan(0.601);
    expect(leaned([...even, 0.5], { 8: 0.06 }).slice(0, 8)).toEqual(even.map((step) => expect.closeTo(step, 12)));
  });

  it('hardly moves it where the stack was shot unevenly', () => {
    const uneven = [0.3, 0.9, 0.5, 0.75, 0.2, 0.6, 1, 0.45];
    expect(Math.abs(leaned([...uneven, 0.5], { 8: 0.06 })[8] - 0.5)).toBeLessThan(0.005);
  });

  it('leaves a step that stands apart: a gap, or frames shot twice from one place', () => {
    // Moved by less than a quarter of its own standard deviation.
    expect(leaned([...even, 2.4], { 8: 0.25 })[8]).toBeGreaterThan(2.4 - 0.25 / 4);
    expect(leaned([...even, 0.02], { 8: 0.06 })[8]).toBeLessThan(0.03);
  });

  it('says nothing where fewer than six steps are known well', () => {
    expect(leaned([0.6, 0.6, 0.6, 0.6, 0.6, 0.5], { 5: 0.1 })[5]).toBeCloseTo(0.5, 12);
    expect(leanOnUsualStep({ z: new Float64Array([1]) }, () => ({ sigma: 0 }))).toEqual(new Float64Array(1));
  });

  it('goes by the order along the axis, not by the frames’ numbers', () => {
    const z = Float64Array.from([1.2, 0, 3.0, 0.6, 2.4, 1.8, 3.6, 4.1]), correction = leanOnUsualStep({ z }, (a, b) => ({ sigma: a === 7 || b === 7 ? 0.5 : 0.001 }));
    expect(Array.from(correction.subarray(0, 7))).toEqual([0, 0, 0, 0, 0, 0, 0].map((v) => expect.closeTo(v, 12)));
    expect(correction[7]).toBeGreaterThan(0.09);
  });
});
