import { describe, expect, it } from 'vitest';
import { sphericalOtf } from './spherical-otf.js';

describe('sphericalOtf', () => {
  // Source: optics-reference, defocused OTF by independent quadrature. 0.002: midpoint rule with 48 × 48 points.
  it('is the plain defocused response where there is no aberration', () => {
    const otf = sphericalOtf(0);
    for (const [s, w, value] of [[0.1, 0, 0.8729], [0.3, 0.25, 0.5016], [0.3, 0.5, 0.2293], [0.5, 0.75, -0.0327], [0.2, 1, -0.0144], [0.7, 0.5, 0.0728]]) {
      expect(Math.abs(otf(s, w) - value)).toBeLessThan(0.002);
    }
  });

  // Source: Strehl ratio of balanced primary spherical aberration ≈ exp(−(2πσ)²), σ = W040/√180 (Maréchal; Born & Wolf 9.3, from memory).
  it('loses as much of its volume as the Strehl ratio says', () => {
    const volume = (otf: (s: number) => number) => {
      let sum = 0;
      for (let i = 0; i < 200; i++) { const s = (i + 0.5) / 200; sum += s * otf(s); }
      return sum;
    };
    const aberrated = sphericalOtf(0.5), perfect = sphericalOtf(0);
    let best = 0;
    for (let w = -0.4; w <= 0.4; w += 0.05) best = Math.max(best, volume((s) => aberrated(s, w)));
    // The peak over defocus is the balanced state; the approximation is good to 0.005 at this strength.
    expect(Math.abs(best / volume((s) => perfect(s, 0)) - Math.exp(-((2 * Math.PI * 0.5) ** 2) / 180))).toBeLessThan(0.005);
  });

  // Source: an even pupil phase alone is symmetric in focus (W → −W conjugates the pupil); adding ρ⁴ breaks that.
  it('is lopsided: the two sides of focus differ, and only with aberration', () => {
    const difference = (strength: number) => {
      const otf = sphericalOtf(strength);
      return Math.max(...[0.4, 0.8, 1.2].flatMap((w) => [0.1, 0.2, 0.3].map((s) => Math.abs(otf(s, w) - otf(s, -w)))));
    };
    expect(difference(1)).toBeGreaterThan(0.1);
    expect(difference(0)).toBeLessThan(0.01);
  });
});
