import { describe, expect, it } from 'vitest';
import { depthSpread } from '../../src/ladder/depth-spread.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import { Random } from '../helpers/render/random.js';

const SIZE = 40, plan = planMeasurement(SIZE * 16, SIZE * 16, 0.42), tilePx = plan.cellPx * 2;
const map = (depth: (row: number, column: number) => number) => Float64Array.from({ length: SIZE * SIZE }, (_, i) => depth(Math.floor(i / SIZE), i % SIZE));
const middle = (values: Float64Array) => values.slice().sort()[values.length >> 1];

describe('depthSpread', () => {
  // Source: standard deviation of a uniform distribution, width/√12; the filter's own reach can only add to it, by at most a fifth in the fine band.
  it('of a plane is that of its slope across the box', () => {
    const slope = 0.3, [fine] = depthSpread(map((row) => slope * row), SIZE, SIZE, plan);
    const box = (slope * plan.bands[0].boxPx) / tilePx / Math.sqrt(12);
    expect(middle(fine)).toBeGreaterThan(box);
    expect(middle(fine)).toBeLessThan(1.2 * box);
  });

  it('of a plane hardly grows by noise in the depths', () => {
    const random = new Random(4), slope = 0.5;
    const clean = depthSpread(map((row) => slope * row), SIZE, SIZE, plan)[0], noisy = depthSpread(map((row) => slope * row + 0.08 * random.normal()), SIZE, SIZE, plan)[0];
    // 0.08 DOF is twice what tiles scatter by on rendered planes; 12 % is its share through half the squared deviation from the plane.
    expect(middle(noisy) / middle(clean)).toBeLessThan(1.12);
  });

  it('follows a surface that is rough without a slope', () => {
    const random = new Random(5), rough = depthSpread(map(() => 0.4 * random.normal()), SIZE, SIZE, plan)[0];
    expect(middle(rough)).toBeGreaterThan(0.2);
  });

  it('says nothing of a tile without neighbours', () => {
    const alone = new Float64Array(SIZE * SIZE).fill(NaN);
    alone[5 * SIZE + 5] = 1;
    expect(Math.max(...depthSpread(alone, SIZE, SIZE, plan)[0])).toBe(0);
  });
});
