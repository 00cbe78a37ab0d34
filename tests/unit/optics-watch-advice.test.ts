import { describe, expect, it } from 'vitest';
import { watchAdvice } from '../../src/optics/watch-advice.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

const report = (longSteps: Record<number, number> = {}, dofUm: number | null = 25) => fixtureReport({ frames: 6, stepDof: 0.6, longSteps, dofUm });
const newest = 'specimen-0106.jpg';

describe('a word after every frame', () => {
  it.each([[0.6, 'Go on.', 'good', /overlaps well/], [0.92, 'Shorter steps.', 'thin', /only just meet/], [1.4, 'Go back.', 'gap', /10 µm between 010?5 and 010?6 are in no frame|10 µm between 5 and 6/]] as const)(
    'a last step of %d DOF: %s', (stepDof, word, sound, line) => {
      const advice = watchAdvice(report({ 4: stepDof }), newest);
      expect(advice).toMatchObject({ word, sound });
      expect(advice.line).toMatch(line);
      expect(advice.figure).toBe(`${(stepDof * 25).toFixed(0)} µm, or ${stepDof.toFixed(1)} DOF`);
      // Going back and coming on again moves the camera: the clearance caution goes with it.
      expect(advice.caution).toMatch(stepDof > 1 ? /^Before the camera moves towards the subject, look/ : /^Mind the room/);
    });
  it('looks at both sides of a frame that lies between others', () => {
    expect(watchAdvice(report({ 1: 1.5 }), 'specimen-0103.jpg').word).toBe('Go back.');
    expect(watchAdvice(report({ 2: 1.5 }), 'specimen-0103.jpg').word).toBe('Go back.');
    expect(watchAdvice(report({ 4: 1.5 }), 'specimen-0103.jpg').word).toBe('Go on.');
  });
  it('never calls an unmeasured step good', () => {
    const unknown = report();
    unknown.steps[4] = { ...unknown.steps[4]!, grade: 'unmeasured', stepDof: null, overlap: null };
    expect(watchAdvice(unknown, newest)).toMatchObject({ word: 'Cannot tell.', figure: '', sound: null });
    // A length that is not to be relied on is not shown in the largest type on the screen.
    unknown.steps[4] = { ...unknown.steps[4]!, stepDof: 3, overlap: -2 };
    expect(watchAdvice(unknown, newest)).toMatchObject({ word: 'Cannot tell.', figure: '' });
  });
  it('promises little from the first few frames', () => {
    const early = fixtureReport({ frames: 3, stepDof: 0.6, dofUm: 25 });
    early.stack.frames[2]!.flags = ['blurred'];
    expect(watchAdvice(early, 'specimen-0103.jpg')).toMatchObject({ word: 'Go on.', line: expect.stringMatching(/rough until 5 frames/) });
    expect(watchAdvice(report(), newest).line).not.toMatch(/rough/);
  });
  it('asks for a blurred frame again, and speaks DOF where µm are not known', () => {
    const blurred = report();
    blurred.stack.frames[5]!.flags = ['blurred'];
    expect(watchAdvice(blurred, newest).word).toBe('Again.');
    const advice = watchAdvice(report({ 4: 1.4 }, null), newest);
    expect(`${advice.figure} ${advice.line}`).not.toMatch(/µm/);
    expect(watchAdvice(report(), null).word).toBe('Waiting.');
  });
});
