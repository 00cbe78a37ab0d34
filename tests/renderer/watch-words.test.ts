import { describe, expect, it } from 'vitest';
import { sendsBack, soFar } from '../../renderer/format/watch-words.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

/** No gap is known to be harmless. */
const NONE: ReadonlySet<number> = new Set();
/** What is said must follow from how the stack was made: its steps, its long ones, its lost frames. Frames are named P00101 on by the fixture. */
const stack = { frames: 12, stepDof: 0.6, dofUm: null, rows: 320, columns: 480 };

describe('the steps so far, in words', () => {
  it('says how even the hand is', () => {
    expect(soFar(fixtureReport(stack), NONE)).toMatch(/^11 of 11 steps are good, 0\.(5\d|6\d)\u202fDOF as a rule\.$/);
  });

  it('names the gaps, the last two of many', () => {
    expect(soFar(fixtureReport({ ...stack, longSteps: { 5: 1.85 } }), NONE)).toMatch(/ One gap so far: between 0*106 and 0*107\.$/);
    expect(soFar(fixtureReport({ ...stack, longSteps: { 1: 1.9, 5: 1.85, 8: 2 } }), NONE)).toMatch(/ 3 gaps so far, the last: between 0*106 and 0*107, 0*109 and 0*110\.$/);
  });

  it('says of gaps known to be harmless that they are, apart from those to go back to', () => {
    const one = fixtureReport({ ...stack, longSteps: { 1: 1.9, 5: 1.85 } }), three = fixtureReport({ ...stack, longSteps: { 1: 1.9, 5: 1.85, 8: 2 } });
    expect(soFar(one, new Set([1]))).toMatch(/ One gap so far: between 0*106 and 0*107\. No surface lies in the gap between 0*102 and 0*103: it is harmless\.$/);
    expect(soFar(three, new Set([1, 5, 8]))).toMatch(/as a rule\. No surface lies in 3 gaps, the last between 0*109 and 0*110: they are harmless\.$/);
  });

  it('asks to mind the room wherever somebody may be sent back', () => {
    expect(sendsBack(fixtureReport(stack), NONE)).toBe(false);
    expect(sendsBack(fixtureReport({ ...stack, longSteps: { 5: 1.85 } }), NONE)).toBe(true);
    expect(sendsBack(fixtureReport({ ...stack, longSteps: { 5: 1.85 } }), new Set([5]))).toBe(false);
    expect(sendsBack(fixtureReport({ ...stack, longSteps: { 1: 1.9, 5: 1.85 } }), new Set([5]))).toBe(true);
    expect(sendsBack(fixtureReport({ ...stack, flags: { 4: ['unreadable'] } }), NONE)).toBe(true);
  });

  it('names what can’t be read and what to do: nothing else on the screen would say so', () => {
    expect(soFar(fixtureReport({ ...stack, flags: { 4: ['unreadable'] } }), NONE)).toMatch(/0*105 can’t be read: copy it anew, or shoot again\./);
    expect(soFar(fixtureReport({ ...stack, flags: { 4: ['unreadable'], 5: ['unreadable'] } }), NONE)).toMatch(/0*105 and 0*106 can’t be read: copy them anew, or shoot again\./);
    expect(soFar(fixtureReport({ ...stack, flags: { 4: ['unreadable'], 5: ['unreadable'], 9: ['unreadable'] } }), NONE)).toMatch(/3 frames, the last 0*110, can’t be read: copy them anew/);
  });
});
