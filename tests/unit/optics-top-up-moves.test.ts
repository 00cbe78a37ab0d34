import { describe, expect, it } from 'vitest';
import { reportCautions } from '../../src/optics/cautions.js';
import { frameLabels } from '../../src/optics/frame-labels.js';
import { topUpMoves, topUpText } from '../../src/optics/top-up-moves.js';
import { verdictHeadline } from '../../src/optics/verdict-headline.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

const gapped = () => fixtureReport({ frames: 20, stepDof: 0.7, longSteps: { 8: 2.1 }, dofUm: 25, fileName: (i) => `IMG_${String(101 + i).padStart(4, '0')}.JPG` });
/** Where the camera ends up when the moves are carried out to the letter, in µm from the frame it stood at. */
const shotPlacesUm = (moves: { kind: string; moveUm: number | null }[], startUm: number): number[] => {
  let at = startUm;
  return moves.flatMap((move) => { at += move.moveUm ?? NaN; return move.kind === 'shoot' ? [at] : []; });
};

describe('top-up as moves of a rail', () => {
  it('leads to the missing places, from the side the stack was shot from', () => {
    const report = gapped();
    const guide = topUpMoves(report, { railUnitUm: 5, workingDistanceMm: 42 });
    const start = report.stack.frames[19]!.positionUm!;
    const places = shotPlacesUm(guide.moves, start);
    expect(places.length).toBe(report.topUp[0]!.positionsUm!.length);
    // Each length is said to a tenth of a unit, 0.5 µm; the roundings must not add up.
    places.forEach((place, i) => expect(Math.abs(place - report.topUp[0]!.positionsUm![i]!)).toBeLessThanOrEqual(0.5));
    expect(guide.moves.map((move) => move.kind)).toEqual(['find', 'back-off', 'shoot', 'shoot']);
    // Shot near first: every exposure is reached by going in.
    for (const move of guide.moves.filter((m) => m.kind === 'shoot')) {
      expect(move.moveUm).toBeGreaterThan(0);
      expect(move.text).toMatch(/rail units? \(\d+ µm\) towards the subject and shoot/);
    }
    expect(guide.moves[1]!.text).toMatch(/away from the subject/);
    // The run-up is at least the largest slack of a manual rail, 50 µm (common practice, no source).
    expect(guide.moves[2]!.moveUm).toBeGreaterThanOrEqual(50);
    expect(guide.heading).toBe('Add 2 frames between 0109 and 0110.');
  });

  it('says the numbers that are in the moves', () => {
    const guide = topUpMoves(gapped(), { railUnitUm: 5, workingDistanceMm: 42 });
    for (const move of guide.moves.slice(1)) {
      const units = Number(/([\d.]+) rail unit/.exec(move.text)![1]);
      expect(Math.abs(units * 5 - Math.abs(move.moveUm!))).toBeLessThanOrEqual(0.26);
    }
  });

  it('retreats through a stack that was shot far first', () => {
    const report = gapped();
    report.stack.direction = 'far-first';
    report.stack.frames.reverse();
    const turned = (i: number | null): number | null => (i === null ? null : 19 - i);
    report.stack.order = report.stack.order.map((i) => 19 - i);
    report.topUp = report.topUp.map((plan) => ({ ...plan, after: turned(plan.after), before: turned(plan.before) }));
    const guide = topUpMoves(report, { railUnitUm: null, workingDistanceMm: null });
    const places = shotPlacesUm(guide.moves, 0);
    expect(Math.abs(places[0]! - report.topUp[0]!.positionsUm![1]!)).toBeLessThanOrEqual(1);
    expect(Math.abs(places[1]! - report.topUp[0]!.positionsUm![0]!)).toBeLessThanOrEqual(1);
    for (const move of guide.moves.filter((m) => m.kind === 'shoot')) expect(move.moveUm).toBeLessThan(0);
    expect(guide.moves.find((m) => m.kind === 'back-off')!.text).toMatch(/towards the subject.*slack/);
  });

  it('speaks in DOF and usual steps where optics are unknown, and never invents µm', () => {
    const report = fixtureReport({ frames: 20, stepDof: 0.7, longSteps: { 8: 2.1 }, dofUm: null });
    const text = topUpText(topUpMoves(report, { railUnitUm: 5, workingDistanceMm: 42 }));
    expect(text).not.toMatch(/µm/);
    expect(text).toMatch(/usual steps? of this stack/);
  });

  it('names a frame instead of a side where the direction is unknown', () => {
    const report = gapped();
    report.stack.direction = 'unknown';
    const text = topUpText(topUpMoves(report, { railUnitUm: 5, workingDistanceMm: 42 }));
    expect(text).toMatch(/towards where frame 0120 was shot and shoot/);
    expect(text).not.toMatch(/µm\) towards the subject/);
  });

  it('names the side where it is known, in whatever order the frames were shot, and each place at its first frame', () => {
    const report = gapped();
    report.stack.direction = 'mixed';
    const shots = topUpMoves(report, { railUnitUm: 5, workingDistanceMm: 42 }).moves.filter((move) => move.kind === 'shoot').map((move) => move.text);
    expect(shots[0]).toMatch(/away from the subject and shoot frame 1 of 2 \(between /);
    expect(shots[1]).toMatch(/shoot frame 2 of 2\.$/);
  });

  it('always begins its cautions with the clearance, and says how little is left', () => {
    expect(topUpMoves(gapped(), { railUnitUm: 5, workingDistanceMm: null }).cautions[0]).toMatch(/^Before the camera moves towards the subject/);
    expect(topUpMoves(gapped(), { railUnitUm: 5, workingDistanceMm: 3 }).cautions[1]).toMatch(/too little to work safely/);
  });

  it('adds nothing to a stack that is to be shot again, and the cautions stay', () => {
    const report = gapped();
    report.verdict = { decision: 'reshoot', reasons: ['The subject moved.'] };
    expect(topUpMoves(report, { railUnitUm: 5, workingDistanceMm: 42 }).moves).toEqual([]);
    expect(reportCautions(report)[0]).toMatch(/^Before the camera moves towards the subject/);
    expect(verdictHeadline(report)).toBe('Shoot this stack again: it can’t be mended by adding frames.');
    report.topUp[0]!.frames = 21;
    expect(verdictHeadline(report)).toBe('Shoot this stack again: more frames are missing than were shot.');
  });

  it('has nothing to say where nothing is missing', () => {
    const guide = topUpMoves(fixtureReport({ frames: 10, stepDof: 0.6, dofUm: 25 }), { railUnitUm: null, workingDistanceMm: null });
    expect(guide).toEqual({ heading: 'Nothing to add.', moves: [], cautions: [] });
  });

  it('covers several places and both ends in one go', () => {
    const report = fixtureReport({ frames: 20, stepDof: 0.7, longSteps: { 4: 2.1, 12: 2.8 }, dofUm: 25 });
    report.topUp.push({ after: 19, before: null, frames: 1, positionsDof: [report.stack.frames[19]!.positionDof! + 0.7], positionsUm: null });
    report.topUp.push({ after: null, before: 0, frames: 1, positionsDof: [-0.7], positionsUm: null });
    const guide = topUpMoves(report, { railUnitUm: 2, workingDistanceMm: 40 });
    const shots = guide.moves.filter((m) => m.kind === 'shoot');
    expect(shots[0]!.text).toMatch(/before specimen-0101|before 0?101/);
    expect(shots[shots.length - 1]!.text).toMatch(/beyond /);
    const places = shotPlacesUm(guide.moves, report.stack.frames[19]!.positionUm!);
    expect([...places].sort((a, b) => a - b)).toEqual(places);
  });
});

describe('labels', () => {
  it.each([
    [['IMG_0109.JPG', 'IMG_0110.JPG'], ['0109', '0110']],
    [['a1b.png', 'a12b.png'], ['1', '12']],
    [['P01101.jpg'], ['P01101']],
    [['x.jpg', 'x.png'], ['x.jpg', 'x.png']],
    [['stack9.tif', 'stack10.tif', 'topup-1.tif'], ['stack9', 'stack10', 'topup-1']],
    [['a.jpg', 'aa.jpg'], ['a', 'aa']],
  ])('%o → %o', (files, labels) => expect(frameLabels(files)).toEqual(labels));
});
