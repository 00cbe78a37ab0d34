import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { UserError } from '../../src/contract/errors.js';
import type { PlanRequest } from '../../src/contract/plan.js';
import { framesForDepth } from '../../src/optics/frames-for-depth.js';
import { makePlan } from '../../src/optics/make-plan.js';
import { planAperture } from '../../src/optics/plan-aperture.js';
import { gradeOfOverlap, overlapOf } from '../../src/optics/step-grade.js';

const at25f4: PlanRequest = {
  magnification: 2.5, fNumber: 4, pupilRatio: 1, pixelPitchUm: 3.9, wavelengthNm: 550, depthUm: 900, overlap: 0.3,
  frameWidthPx: null, outputWidthPx: null, railUnitUm: null, workingDistanceMm: null,
};
const at5f28: PlanRequest = { ...at25f4, magnification: 5, fNumber: 2.8 };
const within = (value: number, expected: number, share: number): void => {
  expect(Math.abs(value / expected - 1), `${value} against ${expected}`).toBeLessThanOrEqual(share);
};

describe('plan figures (rig table of the project’s optics page, to its printed digits)', () => {
  it('5× f/2.8', () => {
    const plan = makePlan(at5f28);
    expect(plan.schema).toBe('rungwise.plan/1');
    within(plan.optics.effectiveFNumber.value!, 16.8, 1e-9);
    within(plan.optics.numericalAperture.value!, 0.1488, 4e-4);
    // DOF standard: 4 × .2527 of λ/NA² 24.84.
    within(plan.dofUm, 24.84 * 4 * 0.2527, 1e-3);
    within(plan.stepUm, 24.84 * 4 * 0.2527 * 0.7, 1e-3);
    const row = plan.apertures.find((a) => a.fNumber === 2.8)!;
    // Airy radius 11.27 µm; pixels 3.9 µm.
    within(row.airyDiameterPx, (2 * 11.27) / 3.9, 1e-3);
    within(row.resolvedUm, 11.27 / 5, 1e-3);
    expect(row.limitedBy).toBe('diffraction');
  });

  it.each([[2.5, 4, 40, 60], [2.5, 2.8, 20, 27], [4, 4, 35, 45], [5, 2.8, 15, 20], [5, 4, 30, 40]])(
    'suggests a step as people use it at %d× f/%d: %d–%d µm (common practice, no source)', (magnification, fNumber, low, high) => {
      const { stepUm } = makePlan({ ...at25f4, magnification, fNumber });
      expect(stepUm).toBeGreaterThanOrEqual(low);
      expect(stepUm).toBeLessThanOrEqual(high);
    });

  it('shows that nine frames at 2.5× f/4 become about 25 at 5× f/2.8, so that nineteen there leave gaps (project optics page)', () => {
    // The depth nine touching rungs cover, worked by hand: 9 × 68.99 × 1.01 µm.
    const depthUm = 9 * 68.99 * 4 * 0.2527;
    const touching = { depthUm: depthUm - 68.99 * 4 * 0.2527, overlap: 0 };
    expect(makePlan({ ...at25f4, ...touching }).frames).toBe(9);
    const closer = makePlan({ ...at5f28, ...touching });
    expect(closer.frames).toBeGreaterThanOrEqual(23);
    expect(closer.frames).toBeLessThanOrEqual(27);
    // Nineteen frames over the same travel.
    expect(gradeOfOverlap(overlapOf(closer.depthUm / 18, closer.dofUm))).toBe('gap');
  });

  it('halves detail and quarters the frames for two stops, where diffraction limits', () => {
    // From the printed formulas by hand: DOF grows with N², Rayleigh's distance with N.
    const open = planAperture(at5f28, 2.8);
    const closed = planAperture(at5f28, 5.6);
    within(closed.dofUm / open.dofUm, 4, 1e-9);
    within(closed.resolvedUm / open.resolvedUm, 2, 1e-9);
  });
});

describe('output size', () => {
  it('lets a picture for a 2000-pixel screen use longer steps than a print of every pixel', () => {
    const print = makePlan({ ...at5f28, frameWidthPx: 6000, outputWidthPx: 6000 });
    const screen = makePlan({ ...at5f28, frameWidthPx: 6000, outputWidthPx: 2000 });
    expect(print.dofUm).toBe(makePlan(at5f28).dofUm);
    // Output pixels of 11.7 µm: cutoff .1082 × 11.7 = 1.266 cycles/pixel, s = .25/1.266 = .1975; between s .2 (.3299) and s .1 (.5832) of the table.
    expect(screen.dofUm).toBeGreaterThan(24.84 * 4 * 0.3299);
    expect(screen.dofUm).toBeLessThan(24.84 * 4 * 0.3299 * 1.05);
    expect(screen.frames).toBeLessThan(print.frames);
    // Rayleigh 11.27 µm against two output pixels of 23.4: f/2.8 × 23.4/11.27 costs nothing.
    within(screen.freeToFNumber, (2.8 * 23.4) / 11.27, 1e-3);
    expect(screen.apertures.find((a) => a.fNumber === 5.6)!.limitedBy).toBe('pixels');
    expect(screen.apertures.find((a) => a.fNumber === 8)!.limitedBy).toBe('diffraction');
  });
  it('asks for the frame width it needs', () => {
    expect(() => makePlan({ ...at5f28, outputWidthPx: 2000 })).toThrow(/how wide a frame is/);
  });
});

describe('rail units, travel and clearance', () => {
  it('gives units per step, and a whole number of them that keeps the overlap', () => {
    const plan = makePlan({ ...at5f28, railUnitUm: 5 });
    // Step 17.58 µm (24.84 × 1.0108 × .7): 3.516 units; three whole ones make 15 µm, an overlap of 1 − 15/25.11.
    within(plan.railUnits!, 3.516, 1e-3);
    expect(plan.wholeUnits).toMatchObject({ units: 3, stepUm: 15, frames: 61 });
    within(plan.wholeUnits!.overlap, 1 - 15 / 25.11, 1e-3);
  });
  it('says so where one unit is longer than the depth of field', () => {
    expect(makePlan({ ...at5f28, railUnitUm: 50 }).cautions.join(' ')).toMatch(/50 µm is longer than the depth of field/);
    expect(makePlan({ ...at5f28, railUnitUm: 20 }).cautions.join(' ')).toMatch(/overlap by 20 % only/);
  });
  it('leaves working distance minus travel, and warns when that is little', () => {
    const plan = makePlan({ ...at5f28, workingDistanceMm: 42 });
    expect(plan.clearanceMm).toBeCloseTo(42 - ((plan.frames - 1) * plan.stepUm) / 1000, 9);
    expect(plan.travelUm).toBeGreaterThanOrEqual(900);
    expect(plan.cautions[0]).toMatch(/Before the camera moves towards the subject/);
    expect(plan.cautions.join(' ')).not.toMatch(/Only .* mm/);
    expect(makePlan({ ...at5f28, workingDistanceMm: 8 }).cautions.join(' ')).toMatch(/Only 7\.1 mm/);
    expect(makePlan({ ...at5f28, workingDistanceMm: 4 }).cautions.join(' ')).toMatch(/too little to work safely/);
  });
  it('carries the clearance caution in every plan', () => {
    expect(makePlan(at25f4).cautions[0]).toMatch(/Before the camera moves towards the subject/);
    expect(makePlan(at25f4).cautions.join(' ')).toMatch(/working distance is not known/);
  });
});

describe('pupil ratio nobody measured', () => {
  it('is assumed, said, and shown with what 0.5 and 2 would mean (rig table: 170.4 and 17.25 µm)', () => {
    const plan = makePlan({ ...at5f28, fNumber: 4, pupilRatio: null });
    expect(plan.optics.pupilRatio).toEqual({ value: 1, source: 'default' });
    expect(plan.pupilRatioRange!.map((c) => c.pupilRatio)).toEqual([0.5, 2]);
    within(plan.pupilRatioRange![0]!.dofUm, 170.4 * 4 * 0.2527, 1e-3);
    within(plan.pupilRatioRange![1]!.dofUm, 17.25 * 4 * 0.2527, 1e-3);
    expect(plan.cautions.join(' ')).toMatch(/assumed to be 1/);
    expect(makePlan(at5f28).pupilRatioRange).toBeNull();
  });
});

describe('plans beyond physics', () => {
  it.each([
    [{ fNumber: 22 }, /works as f\/132/], [{ workingDistanceMm: 0.9 }, /longer than the working distance/], [{ fNumber: 0.5, magnification: 40 }, /numerical aperture/],
    [{ overlap: 0.95 }, /--overlap/], [{ overlap: NaN }, /--overlap/], [{ depthUm: -1 }, /--depth-um/], [{ depthUm: Infinity }, /--depth-um/], [{ pixelPitchUm: 0 }, /--pixel-pitch/],
    [{ magnification: NaN }, /--magnification/], [{ railUnitUm: -5 }, /--rail-unit/],
  ] as [Partial<PlanRequest>, RegExp][])('refuses %o', (change, message) => {
    let caught: unknown;
    try { makePlan({ ...at5f28, ...change }); } catch (error) { caught = error; }
    expect(caught).toBeInstanceOf(UserError);
    expect((caught as UserError).line).toMatch(message);
    expect((caught as UserError).remedy.length).toBeGreaterThan(10);
  });
  it('keeps its table within reason', () => {
    expect(makePlan(at5f28).apertures.every((a) => a.effectiveFNumber <= 100)).toBe(true);
  });
});

describe('frames for a depth', () => {
  it.each([[0, 17, 1], [17, 17, 2], [17.01, 17, 3], [100 * 0.1, 0.1, 101]])('%d µm in steps of %d: %d', (depth, step, frames) => expect(framesForDepth(depth, step)).toBe(frames));
  it('always covers the depth and never by a whole step too many', () => {
    fc.assert(fc.property(fc.double({ min: 0, max: 1e5, noNaN: true }), fc.double({ min: 1, max: 500, noNaN: true }), (depth, step) => {
      const travel = (framesForDepth(depth, step) - 1) * step;
      return travel >= depth - step * 1e-6 && travel < depth + step * (1 + 1e-6);
    }));
  });
});
