import { describe, expect, it } from 'vitest';
import { airyRadiusUm } from '../../src/optics/airy-radius.js';
import { cutoffCyclesPerMm, cutoffCyclesPerPixel } from '../../src/optics/cutoff-frequency.js';
import { defocusOffsetUm, defocusWaves } from '../../src/optics/defocus-waves.js';
import { effectiveFNumber } from '../../src/optics/effective-f-number.js';
import { geometricDepthOfFieldUm } from '../../src/optics/geometric-depth-of-field.js';
import { numericalAperture } from '../../src/optics/numerical-aperture.js';
import { outputPixelPitchUm } from '../../src/optics/output-pixel-pitch.js';
import { pupilRatioFromRuler, pupilRatioFromTwoStacks } from '../../src/optics/pupil-ratio.js';
import { gradeOfOverlap, overlapOf } from '../../src/optics/step-grade.js';
import { waveDepthOfFieldUm } from '../../src/optics/wave-depth-of-field.js';

/** Half a unit of the last printed digit: the tightest agreement a printed figure allows. */
const printed = (text: string): number => 0.5 * 10 ** -(text.split('.')[1]?.length ?? 0);
const expectPrinted = (value: number, text: string): void => {
  expect(Math.abs(value - Number(text)), `${value} against ${text}`).toBeLessThanOrEqual(printed(text) * 1.0001);
};

describe('four rigs worked out by hand (project optics page, table of rigs)', () => {
  const rigs = [
    [2.5, 4, 1, '14.0', '0.0893', '68.99', '9.39', '129.9'],
    [5, 2.8, 1, '16.8', '0.1488', '24.84', '11.27', '108.2'],
    [5, 4, 2, '14.0', '0.1786', '17.25', '9.39', '129.9'],
    [5, 4, 0.5, '44.0', '0.0568', '170.4', '29.52', '41.3'],
  ] as const;
  it.each(rigs)('m %d f/%d P %d', (m, fNumber, pupilRatio, nEff, na, dof, airy, cutoff) => {
    const effective = effectiveFNumber(fNumber, m, pupilRatio);
    const aperture = numericalAperture(m, effective);
    expectPrinted(effective, nEff);
    expectPrinted(aperture, na);
    expectPrinted(waveDepthOfFieldUm(550, aperture), dof);
    expectPrinted(airyRadiusUm(550, effective), airy);
    expectPrinted(cutoffCyclesPerMm(550, effective), cutoff);
  });

  it('gives the cutoff of 5× f/2.8 on 3.9 µm pixels as .42 cycles per pixel (project design page, section 5)', () => {
    expectPrinted(cutoffCyclesPerPixel(550, 16.8, 3.9), '0.42');
  });
});

describe('published figures', () => {
  it('matches the wave depth of field worked by Keiser, Biophotonics, example 8.4', () => {
    expectPrinted(waveDepthOfFieldUm(780, 0.2, 1.51), '29.4');
    expectPrinted(waveDepthOfFieldUm(780, 0.55, 1.51), '3.89');
  });

  it.each([
    [1, 4, '0.30', '8'], [2.5, 2.8, '0.060', '9.8'], [2.5, 4, '0.085', '14'], [3, 4, '0.068', '16'],
    [4, 4, '0.048', '20'], [5, 2.8, '0.026', '17'], [5, 4, '0.036', '24'], [10, 2, '0.0084', '22'],
  ] as const)('matches the macro table of Savazzi, Digital Photography for Science, table 1, at %d× f/%d', (m, fNumber, dofMm, nEff) => {
    const effective = effectiveFNumber(fNumber, m, 1);
    expectPrinted(effective, nEff);
    // Circle of confusion 0.019 mm, inferred from that table.
    expectPrinted(geometricDepthOfFieldUm(19, effective, m) / 1000, dofMm);
  });

  it('puts the first dark ring at J₁’s first zero, 3.8317 (Abramowitz & Stegun, table 9.5)', () => {
    // At λ 1 µm and N_eff 1 the radius is that zero over π.
    expect(Math.abs(airyRadiusUm(1000, 1) * Math.PI - 3.8317)).toBeLessThan(5e-5);
    // And that point is a zero of J₁ by its own integral, (1/π) ∫ cos(t − x sin t) dt (Abramowitz & Stegun 9.1.21).
    const x = airyRadiusUm(1000, 1) * Math.PI;
    let sum = 0;
    for (let i = 0; i < 2000; i++) { const t = ((i + 0.5) * Math.PI) / 2000; sum += Math.cos(t - x * Math.sin(t)); }
    expect(Math.abs(sum / 2000)).toBeLessThan(1e-9);
  });
});

describe('defocus in waves', () => {
  it('is a quarter wave at half of λ/NA² (Rayleigh’s quarter-wave rule: the wave depth of field spans ±λ/4)', () => {
    // NA .0893 and 68.99 µm: rig table of the project's optics page, so good to its four digits.
    expect(defocusWaves(68.99 / 2, 0.0893, 550)).toBeCloseTo(0.25, 3);
    expect(defocusWaves(-68.99, 0.0893, 550)).toBeCloseTo(-0.5, 3);
    expect(defocusOffsetUm(0.25, 0.0893, 550)).toBeCloseTo(68.99 / 2, 1);
  });
});

describe('overlap and grades (limits: project optics page)', () => {
  it.each([[0, 1, 'good'], [0.7, 0.3, 'good'], [0.8, 0.2, 'good'], [0.81, 0.19, 'thin'], [1, 0, 'thin'], [1.01, -0.01, 'gap'], [1.85, -0.85, 'gap']] as const)(
    'a step of %d DOF overlaps by %d and is %s', (step, overlap, grade) => {
      expect(overlapOf(step, 1)).toBeCloseTo(overlap, 12);
      expect(gradeOfOverlap(overlapOf(step, 1))).toBe(grade);
      expect(gradeOfOverlap(overlapOf(step * 25.1, 25.1))).toBe(grade);
    });
  it('refuses what is not a number instead of grading it', () => {
    expect(() => gradeOfOverlap(NaN)).toThrow(RangeError);
    expect(() => overlapOf(NaN, 1)).toThrow(RangeError);
    expect(() => overlapOf(1, 0)).toThrow(RangeError);
  });
});

describe('pupil ratio', () => {
  it('is exit over entrance pupil (definition, ISO 517 terms)', () => expect(pupilRatioFromRuler(18, 12)).toBe(1.5));

  it.each([['0.0893', '0.1786', 1]])('recovers a symmetrical lens from the rig table’s apertures', (_a, _b, expected) => {
    // Same marked f/4 and step: at 2.5×, P 1, NA .0893 (rig table); at 5×, P 1, N_eff 24 (Savazzi), so NA 5/48.
    const ratio = pupilRatioFromTwoStacks({ magnification: 2.5, stepDof: 0.0893 ** 2 }, { magnification: 5, stepDof: (5 / 48) ** 2 });
    expect(Math.abs((ratio ?? 0) - expected)).toBeLessThan(0.01);
  });
  it('recovers P 2 and P 0.5 at 5× f/4 from the rig table, second stack at 1× worked by hand', () => {
    // 1× f/4: P 2 gives N_eff 4·1.5 = 6, NA 1/12; P 0.5 gives N_eff 4·3 = 12, NA 1/24.
    expect(pupilRatioFromTwoStacks({ magnification: 5, stepDof: 0.1786 ** 2 }, { magnification: 1, stepDof: 1 / 144 })).toBeCloseTo(2, 2);
    expect(pupilRatioFromTwoStacks({ magnification: 5, stepDof: 0.0568 ** 2 }, { magnification: 1, stepDof: 1 / 576 })).toBeCloseTo(0.5, 2);
  });
  it('says so where the two stacks cannot tell', () => {
    expect(pupilRatioFromTwoStacks({ magnification: 2, stepDof: 9 }, { magnification: 4, stepDof: 1 })).toBeNull();
    expect(() => pupilRatioFromTwoStacks({ magnification: 4, stepDof: 1 }, { magnification: 4.1, stepDof: 1 })).toThrow(RangeError);
  });
});

describe('output size', () => {
  it('widens the pixels in proportion and never narrows them', () => {
    expect(outputPixelPitchUm(3.9, 6000, 2000)).toBeCloseTo(11.7, 12);
    expect(outputPixelPitchUm(3.9, 6000, 8000)).toBe(3.9);
    expect(outputPixelPitchUm(3.9, 6000, null)).toBe(3.9);
  });
});

describe('input that makes no sense', () => {
  it.each([
    () => effectiveFNumber(0, 1, 1), () => effectiveFNumber(4, -1, 1), () => effectiveFNumber(4, 1, NaN), () => numericalAperture(1, Infinity),
    () => waveDepthOfFieldUm(550, 0), () => airyRadiusUm(-1, 4), () => cutoffCyclesPerPixel(550, 4, 0), () => geometricDepthOfFieldUm(19, 4, 0),
    () => outputPixelPitchUm(4, 6000, 0), () => pupilRatioFromRuler(0, 1),
  ])('case %#', (call) => expect(call).toThrow(RangeError));
});
