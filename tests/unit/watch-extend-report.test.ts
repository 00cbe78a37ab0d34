import { describe, expect, it } from 'vitest';
import type { Report } from '../../src/contract/report.js';
import { extendReport } from '../../src/io/watch/extend-report.js';
import { withoutGone } from '../../src/io/watch/without-gone.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

/** Ten frames; the ladder so far are the first nine, the look the last four, its axis counted from its own first frame or turned round. */
const whole = fixtureReport({ frames: 10, stepDof: 0.6, dofUm: 25 });
const part = (from: number, to: number, place: (dof: number) => number): Report => {
  const frames = whole.stack.frames.slice(from, to).map((frame) => ({ ...frame, positionDof: place(frame.positionDof!) }));
  const order = frames.map((_, i) => i).sort((a, b) => frames[a]!.positionDof - frames[b]!.positionDof);
  const steps = order.slice(1).map((to_, k) => ({ ...whole.steps[0]!, from: order[k]!, to: to_, stepDof: frames[to_]!.positionDof - frames[order[k]!]!.positionDof, grade: 'good' as const }));
  return { ...whole, stack: { ...whole.stack, frames, order }, steps };
};
const last = whole.stack.frames[9]!;

describe('a ladder with one more frame', () => {
  it.each([['counted from its own start', (dof: number) => dof - 3], ['turned round', (dof: number) => 20 - dof]])('takes its place from a look %s', (_name, place) => {
    const extended = extendReport(part(0, 9, (dof) => dof), part(6, 10, place), last.file)!;
    const added = extended.stack.frames.find((frame) => frame.file === last.file)!;
    expect(added.positionDof).toBeCloseTo(last.positionDof!, 9);
    expect(added.positionUm).toBeCloseTo(25 * last.positionDof!, 9);
    expect(extended.steps.length).toBe(9);
    expect(extended.steps.at(-1)).toMatchObject({ from: 8, to: 9, grade: 'good' });
  });
  it('calls a step that the look did not see unmeasured', () => {
    const look = part(6, 10, (dof) => dof);
    look.stack.frames[3]!.positionDof = 0.3;
    look.stack.order = [3, 0, 1, 2];
    look.steps = [];
    const extended = extendReport(part(0, 9, (dof) => dof), look, last.file)!;
    expect(extended.steps.filter((step) => step.from === 9 || step.to === 9).map((step) => step.grade)).toEqual(['unmeasured', 'unmeasured']);
  });
  it('gives up where nothing joins the two', () => {
    expect(extendReport(part(0, 3, (dof) => dof), part(6, 10, (dof) => dof), last.file)).toBeNull();
    expect(extendReport(part(0, 9, (dof) => dof), part(3, 8, (dof) => dof), last.file)).toBeNull();
  });
});

it('a deleted frame leaves the ladder and the steps it made', () => {
  const left = withoutGone(whole, whole.stack.frames.filter((_, i) => i !== 4).map((frame) => frame.file));
  expect(left.stack.frames.length).toBe(9);
  expect(left.stack.order).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8]);
  expect(left.steps.map((step) => [step.from, step.to])).toEqual([[0, 1], [1, 2], [2, 3], [4, 5], [5, 6], [6, 7], [7, 8]]);
});
