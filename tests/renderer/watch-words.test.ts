import { describe, expect, it } from 'vitest';
import { sendsBack, soFar } from '../../renderer/format/watch-words.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

/** What is said must follow from how the stack was made: its steps, its long ones, its lost frames. Frames are named P00101 on by the fixture. */
const stack = { frames: 12, stepDof: 0.6, dofUm: null, rows: 320, columns: 480 };

describe('the steps so far, in words', () => {
  it('says how even the hand is', () => {
    expect(soFar(fixtureReport(stack))).toMatch(/^11 of 11 steps are good, 0\.(5\d|6\d)\u202fDOF as a rule\.$/);
  });

  it('names the gaps, the last two of many', () => {
    expect(soFar(fixtureReport({ ...stack, longSteps: { 5: 1.85 } }))).toMatch(/ One gap so far: between 0*106 and 0*107\.$/);
    expect(soFar(fixtureReport({ ...stack, longSteps: { 1: 1.9, 5: 1.85, 8: 2 } }))).toMatch(/ 3 gaps so far, the last: between 0*106 and 0*107, 0*109 and 0*110\.$/);
  });

  it('asks to mind the room wherever somebody may be sent back', () => {
    expect(sendsBack(fixtureReport(stack))).toBe(false);
    expect(sendsBack(fixtureReport({ ...stack, longSteps: { 5: 1.85 } }))).toBe(true);
    expect(sendsBack(fixtureReport({ ...stack, flags: { 4: ['unreadable'] } }))).toBe(true);
  });

  it('names what can’t be read and what to do: nothing else on the screen would say so', () => {
    expect(soFar(fixtureReport({ ...stack, flags: { 4: ['unreadable'] } }))).toMatch(/0*105 can’t be read: copy it anew, or shoot again\./);
    expect(soFar(fixtureReport({ ...stack, flags: { 4: ['unreadable'], 5: ['unreadable'] } }))).toMatch(/0*105 and 0*106 can’t be read: copy them anew, or shoot again\./);
    expect(soFar(fixtureReport({ ...stack, flags: { 4: ['unreadable'], 5: ['unreadable'], 9: ['unreadable'] } }))).toMatch(/3 frames, the last 0*110, can’t be read: copy them anew/);
  });
});
