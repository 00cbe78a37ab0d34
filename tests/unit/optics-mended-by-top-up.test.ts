import { describe, expect, it } from 'vitest';
import type { Report } from '../../src/contract/report.js';
import { mendedByTopUp, mendedText } from '../../src/optics/mended-by-top-up.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

/** A stack with a gap after the ninth frame that later frames close: file numbers follow time, the order follows depth. */
function toppedUp(order: number[], stepDof = 0.62): Report {
  const report = fixtureReport({ frames: order.length, stepDof, dofUm: 25 });
  const positions = report.stack.frames.map((frame) => frame.positionDof);
  report.stack.order = order;
  order.forEach((index, place) => { report.stack.frames[index]!.positionDof = positions[place]!; });
  report.steps = report.steps.map((step, place) => ({ ...step, from: order[place]!, to: order[place + 1]! }));
  return report;
}
const labels = Array.from({ length: 30 }, (_, i) => `f${i}`);

describe('what a top-up mended', () => {
  it('finds later frames between earlier ones, and the step as it was', () => {
    const report = toppedUp([0, 1, 2, 3, 4, 10, 11, 5, 6, 7, 8, 9]);
    const [mended, ...more] = mendedByTopUp(report);
    expect(more).toEqual([]);
    expect(mended).toMatchObject({ after: 4, before: 5, added: [10, 11], gradeNow: 'good' });
    // Three steps of 0.62 within the fixture's ±6 %.
    expect(mended!.stepWasDof).toBeGreaterThan(3 * 0.58);
    expect(mended!.stepWasDof).toBeLessThan(3 * 0.66);
    expect(mendedText(report, mended!, labels)).toMatch(/^2 frames shot later close the place between f4 and f5: its step was 4[4-9] µm, the longest there is now 1[5-6] µm\.$/);
  });
  it('does the same for stacks shot far first, and for several places', () => {
    const report = toppedUp([9, 8, 11, 7, 6, 5, 10, 4, 3, 2, 1, 0]);
    expect(mendedByTopUp(report).map(({ after, before, added }) => [after, added, before])).toEqual([[8, [11], 7], [5, [10], 4]]);
  });
  it('tells of frames added before the first', () => {
    const report = toppedUp([6, 7, 0, 1, 2, 3, 4, 5]);
    expect(mendedByTopUp(report)).toMatchObject([{ after: null, before: 0, added: [6, 7], stepWasDof: null }]);
    expect(mendedText(report, mendedByTopUp(report)[0]!, labels)).toBe('2 frames shot later continue the stack beyond f0.');
  });
  it('takes no repeat for a frame shot later', () => {
    const report = toppedUp([1, 0, 2, 3, 4, 5]);
    report.stack.frames[0]!.flags = ['repeat'];
    expect(mendedByTopUp(report)).toEqual([]);
  });
  it('is silent where nothing was added, and where the order is no order', () => {
    expect(mendedByTopUp(toppedUp([0, 1, 2, 3, 4, 5]))).toEqual([]);
    expect(mendedByTopUp(toppedUp([0, 5, 1, 7, 3, 2, 8, 4, 6]))).toEqual([]);
  });
  it('claims no mending where a gap is left', () => {
    const report = toppedUp([0, 1, 2, 5, 3, 4]);
    report.steps[3]!.grade = 'gap';
    report.steps[3]!.stepDof = 1.4;
    expect(mendedText(report, mendedByTopUp(report)[0]!, labels)).toMatch(/^1 frame shot later lies between f2 and f3: its step was \d+ µm, the longest there is now 35 µm\.$/);
  });
});
