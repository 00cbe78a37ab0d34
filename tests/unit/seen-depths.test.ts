import { describe, expect, it } from 'vitest';
import { seenDepths } from '../../src/ladder/seen-depths.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import { Random } from '../helpers/render/random.js';

const SIZE = 40, plan = planMeasurement(SIZE * 16, SIZE * 16, 0.42), tilePx = plan.cellPx * 2;
const map = (depth: (row: number, column: number) => number) => Float64Array.from({ length: SIZE * SIZE }, (_, i) => depth(Math.floor(i / SIZE), i % SIZE));
const middle = (values: Float64Array) => values.slice().sort()[values.length >> 1];

describe('seenDepths', () => {
  // Source: standard deviation of a uniform distribution, width/√12; the filter's own reach can only add to it, by at most a fifth in the fine band.
  it('of a plane is that of its slope across the box', () => {
    const slope = 0.3, [fine] = seenDepths(map((row) => slope * row), SIZE, SIZE, plan).spread;
    const box = (slope * plan.bands[0].boxPx) / tilePx / Math.sqrt(12);
    expect(middle(fine)).toBeGreaterThan(box);
    expect(middle(fine)).toBeLessThan(1.2 * box);
  });

  it('of a plane hardly grows by noise in the depths', () => {
    const random = new Random(4), slope = 0.5;
    const clean = seenDepths(map((row) => slope * row), SIZE, SIZE, plan).spread[0], noisy = seenDepths(map((row) => slope * row + 0.08 * random.normal()), SIZE, SIZE, plan, 0.08 ** 2).spread[0];
    // 0.08 DOF is twice what tiles scatter by on rendered planes; what it adds is known and taken off, to within the chance of 1600 tiles.
    expect(Math.abs(middle(noisy) / middle(clean) - 1)).toBeLessThan(0.05);
  });

  it('follows a surface that is rough without a slope', () => {
    const random = new Random(5), rough = seenDepths(map(() => 0.4 * random.normal()), SIZE, SIZE, plan).spread[0];
    expect(middle(rough)).toBeGreaterThan(0.2);
  });

  // Source: the mean of x² over a window is the window's variance; a bowl of depth a·x² so lies deeper by a × the difference of two windows' variances.
  it('has coarser bands see deeper into a bowl', () => {
    const a = 0.05, { bend } = seenDepths(map((_, column) => a * (column - SIZE / 2) ** 2), SIZE, SIZE, plan), at = 20 * SIZE + 20;
    const boxes = plan.bands.map((band) => (band.boxPx / tilePx) ** 2 / 12);
    expect(bend[0][at]).toBe(0);
    // The filter's own reach adds to the boxes, at most twice what an isotropic ring's mean square radius along an axis is.
    for (const b of [1, 2]) {
      expect(bend[b][at]).toBeGreaterThan(a * (boxes[b] - boxes[0]));
      expect(bend[b][at]).toBeLessThan(a * (boxes[b] - boxes[0] + (2 * plan.bands[b].order) / (2 * Math.PI * plan.bands[b].centre * tilePx) ** 2));
    }
  });

  // Source: of n draws the expected variance about their own mean is (1 − 1/n) of the variance they are drawn from (Bessel); about one component a tile shows next to none.
  it('of a slope shows less where few components lie in the window', () => {
    const ofSlope = (cutoff: number) => {
      const here = planMeasurement(SIZE * 16, SIZE * 16, cutoff), { spread } = seenDepths(map((row) => 0.1 * row), SIZE, SIZE, here);
      return here.bands.map((band, b) => middle(spread[b]) / Math.hypot((0.1 * band.boxPx) / (2 * here.cellPx) / Math.sqrt(12), (0.1 * Math.sqrt(band.order)) / (2 * Math.PI * band.centre * 2 * here.cellPx)));
    };
    const [fine, , coarse] = ofSlope(0.72), [fineLow, , coarseLow] = ofSlope(0.29);
    expect(fineLow / fine).toBeGreaterThan(0.9);
    expect(coarseLow / coarse).toBeLessThan(0.7);
  });

  it('is as steep next to a fold as on the face beyond', () => {
    const slope = 0.8, { spread } = seenDepths(map((row) => slope * Math.abs(row - 20)), SIZE, SIZE, plan);
    expect(spread[0][21 * SIZE + 20] / spread[0][28 * SIZE + 20]).toBeGreaterThan(0.95);
    expect(spread[0][21 * SIZE + 20] / spread[0][28 * SIZE + 20]).toBeLessThan(1.3);
  });

  it('says nothing of a tile without neighbours', () => {
    const alone = new Float64Array(SIZE * SIZE).fill(NaN);
    alone[5 * SIZE + 5] = 1;
    expect(Math.max(...seenDepths(alone, SIZE, SIZE, plan).spread[0])).toBe(0);
  });
});
