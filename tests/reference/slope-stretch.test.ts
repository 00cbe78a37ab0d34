import { describe, expect, it } from 'vitest';
import { slopeStretch } from '../../src/ladder/slope-stretch.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';

/** How far up the slope a sinusoid is found in its blurred picture, pixels, at a place of the given defocus: every point spreads its own light by its own blur. */
function shiftOnSlope(cutoff: number, slope: number, defocus: number, frequency: number): number {
  let re = 0, im = 0;
  for (let x = -200; x <= 200; x += 0.25) {
    // A disc of radius 2δ/f_c has an rms radius of δ/f_c along an axis.
    const sigma = Math.max(0.05, Math.abs(defocus - slope * x) / cutoff), light = (0.25 * Math.exp(-0.5 * (x / sigma) ** 2)) / sigma;
    re += light * Math.cos(2 * Math.PI * frequency * x);
    im += light * Math.sin(2 * Math.PI * frequency * x);
  }
  return -Math.atan2(im, re) / (2 * Math.PI * frequency);
}

describe('defocus on a slope', () => {
  // Source: a direct simulation, every point of a sloped pattern spread by its own blur; the law is 2gδ/f_c² pixels.
  it('moves what it blurs up the slope by 2gδ/f_c²', () => {
    for (const [slope, defocus] of [[0.01, 1], [0.02, 1.5], [0.03, 0.8]] as const) {
      const cutoff = 0.4, law = (2 * slope * defocus) / cutoff ** 2;
      // First order in the slope, and for frequencies far below the cutoff: within a tenth.
      expect(Math.abs(shiftOnSlope(cutoff, slope, defocus, 0.004) / law - 1)).toBeLessThan(0.1);
    }
  });

  it('makes steep tiles defocus faster by that shift times the slope', () => {
    const plan = planMeasurement(928, 928, 0.4);
    // 0.85 of the law, as measured on rendered slopes (stated there).
    expect(slopeStretch(plan, 0.03 ** 2)).toBeCloseTo(1 + 0.85 * ((2 * 0.03 ** 2) / 0.4 ** 2), 6);
    expect(slopeStretch(plan, 0)).toBe(1);
  });
});
