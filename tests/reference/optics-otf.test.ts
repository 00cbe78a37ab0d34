import { describe, expect, it } from 'vitest';
import { defocusedOtf } from '../../src/optics/defocused-otf.js';
import { inFocusMtf } from '../../src/optics/in-focus-mtf.js';

/** Table of the project's optics page: independent quadrature with 20 001 points. Rows W, columns s. */
const COLUMNS = [0.1, 0.2, 0.3, 0.5, 0.7];
const TABLE: [number, number[]][] = [
  [0, [0.8729, 0.7471, 0.6238, 0.391, 0.1881]],
  [0.25, [0.8389, 0.6586, 0.5016, 0.2875, 0.1525]],
  [0.5, [0.7421, 0.4348, 0.2293, 0.0846, 0.0728]],
  [0.75, [0.5975, 0.1764, 0, -0.0327, 0.0048]],
  [1, [0.4266, -0.0144, -0.0695, -0.0201, -0.0173]],
  [1.5, [0.1013, -0.0602, 0.0355, 0.0156, 0.0107]],
  [2, [-0.084, 0.045, -0.0081, -0.0077, -0.0017]],
];
/** Half of the tables' last digit. */
const ROUNDING = 0.5e-4 + 1e-9;

describe('defocused transfer function, circular pupil', () => {
  it.each(TABLE)('matches the table at %d waves', (waves, row) => {
    row.forEach((expected, i) => {
      expect(Math.abs(defocusedOtf(COLUMNS[i]!, waves) - expected), `s ${COLUMNS[i]}`).toBeLessThanOrEqual(ROUNDING);
      expect(defocusedOtf(COLUMNS[i]!, -waves)).toBe(defocusedOtf(COLUMNS[i]!, waves));
    });
  });

  it('matches the published in-focus curve at s .1 … .9 (project optics page)', () => {
    [0.8729, 0.7471, 0.6238, 0.5046, 0.391, 0.2848, 0.1881, 0.1041, 0.0374].forEach((expected, i) => {
      const s = (i + 1) / 10;
      expect(Math.abs(inFocusMtf(s) - expected)).toBeLessThanOrEqual(ROUNDING);
      expect(Math.abs(defocusedOtf(s, 0) - expected)).toBeLessThanOrEqual(ROUNDING);
    });
  });

  it.each([[0.25, 0.810569], [0.5, 0.405285], [0.75, 0.090063]])('integrates to the Strehl ratio at %d waves (closed form)', (waves, strehl) => {
    // The peak of the point image is the integral of the transfer function over the plane: 2π ∫ OTF s ds; in focus it is 1 by definition.
    const n = 400;
    let defocused = 0;
    let focused = 0;
    for (let i = 0; i < n; i++) {
      const s = (i + 0.5) / n;
      defocused += defocusedOtf(s, waves) * s;
      focused += defocusedOtf(s, 0) * s;
    }
    // Midpoint rule with 400 points: 1e-5 at most.
    expect(Math.abs(defocused / focused - strehl)).toBeLessThan(2e-5);
  });

  it('ends at the cutoff and refuses a negative frequency', () => {
    expect(defocusedOtf(1, 0.3)).toBe(0);
    expect(defocusedOtf(7, 0.3)).toBe(0);
    expect(inFocusMtf(1)).toBe(0);
    expect(defocusedOtf(0, 3)).toBeCloseTo(1, 6);
    expect(() => defocusedOtf(-0.1, 0)).toThrow(RangeError);
    expect(() => defocusedOtf(NaN, 0)).toThrow(RangeError);
    expect(() => inFocusMtf(-0.1)).toThrow(RangeError);
  });
});

/** Transfer function of any pupil by brute force: its autocorrelation over a shear of 2s, with the defocus phase W(x² + y²). */
function otfByShearing(inside: (x: number, y: number) => boolean, s: number, waves: number, cells: number): number {
  let shared = 0;
  let whole = 0;
  for (let i = 0; i < cells; i++) for (let j = 0; j < cells; j++) {
    const x = (2 * (i + 0.5)) / cells - 1;
    const y = (2 * (j + 0.5)) / cells - 1;
    if (inside(x, y)) whole++;
    if (!inside(x - s, y) || !inside(x + s, y)) continue;
    shared += Math.cos(2 * Math.PI * waves * ((x + s) ** 2 - (x - s) ** 2));
  }
  return shared / whole;
}

describe('against a brute-force autocorrelation of the pupil', () => {
  it('which itself gives the square pupil’s closed form (Goodman, Introduction to Fourier Optics, eq. 6-41)', () => {
    const square = (x: number, y: number): boolean => Math.abs(x) <= 1 && Math.abs(y) <= 1;
    expect(otfByShearing(square, 0.5, 0.25, 400)).toBeCloseTo(0.31831, 4);
    expect(otfByShearing(square, 0.3, 0.5, 400)).toBeCloseTo(0.12779, 4);
  });
  it.each([[0.05, 3], [0.15, 0.4], [0.3, 0.6], [0.45, 2.4], [0.8, 1.1], [0.95, 0.3], [0.6, 8]])('agrees at s %d, W %d', (s, waves) => {
    const round = (x: number, y: number): boolean => x * x + y * y <= 1;
    // A stepped edge on 800 cells leaves a few 1e-4.
    expect(Math.abs(defocusedOtf(s, waves) - otfByShearing(round, s, waves, 800))).toBeLessThan(6e-4);
  });
});

describe('stated error bound', () => {
  it('holds against a quadrature of 200 000 points', () => {
    for (const s of [0.02, 0.3, 0.5, 0.7, 0.93]) for (const waves of [0, 0.4, 2, 7.5]) {
      // Trapezium rule in u = sin t, another rule in another variable.
      const points = 200_000;
      let sum = 0;
      for (let i = 0; i <= points; i++) {
        const u = s + ((1 - s) * i) / points;
        sum += (i === 0 || i === points ? 0.5 : 1) * Math.sqrt(1 - u * u) * Math.cos(8 * Math.PI * waves * s * (u - s));
      }
      expect(Math.abs(defocusedOtf(s, waves) - (4 / Math.PI) * sum * ((1 - s) / points)), `s ${s} W ${waves}`).toBeLessThan(1e-7);
    }
  });
});
