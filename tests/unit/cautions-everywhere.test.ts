import { describe, expect, it } from 'vitest';
import { planText } from '../../src/cli/text/plan-text.js';
import { railText } from '../../src/cli/text/rail-text.js';
import { reportText } from '../../src/cli/text/report-text.js';
import type { Decision, Report } from '../../src/contract/report.js';
import { analyseRail } from '../../src/diagnosis/rail-analysis.js';
import { renderHtmlReport } from '../../src/io/html-report.js';
import { makePlan } from '../../src/optics/make-plan.js';
import { topUpMoves, topUpText } from '../../src/optics/top-up-moves.js';
import { watchAdvice } from '../../src/optics/watch-advice.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

// Issue 6: advice that moves a camera towards a subject always carries the clearance caution; flash and eyes, living subjects, the
// equipment's own instructions and local rules go with advice to shoot.

const style = { columns: 78, colour: false };
const rail = { railUnitUm: null, workingDistanceMm: null };
const flat = (text: string): string => text.replace(/<style>[\s\S]*?<\/style>|<[^>]*>/g, ' ').replace(/\s+/g, ' ');
const CLEARANCE = /Before the camera moves towards the subject, look from the side how much room is left/;
const CARE = /bright flashes and any laser away from eyes[\s\S]*Living subjects are left unharmed[\s\S]*instructions of your equipment and the rules of the place/;

const topUp = (): Report => fixtureReport({ frames: 12, stepDof: 0.6, longSteps: { 4: 1.9 }, dofUm: 25 });
function decided(decision: Decision): Report {
  const report = fixtureReport({ frames: 12, stepDof: 0.6, dofUm: 25 });
  report.verdict = { decision, reasons: ['A frame between the two would settle it.'] };
  report.topUp = [];
  report.findings = [];
  return report;
}

describe.each([['text', (report: Report) => reportText(report, rail, style)], ['page', (report: Report) => renderHtmlReport(report, rail)]] as const)('a report as %s', (_name, render) => {
  it.each([['top-up', topUp], ['reshoot', () => decided('reshoot')], ['undecided', () => decided('undecided')]] as const)('that asks for frames (%s) carries the cautions', (_decision, made) => {
    expect(flat(render(made()))).toMatch(CLEARANCE);
    expect(flat(render(made()))).toMatch(CARE);
  });
  it('puts the caution before the first move', () => {
    const text = flat(render(topUp()));
    expect(text.search(CLEARANCE)).toBeGreaterThan(0);
    expect(text.search(CLEARANCE)).toBeLessThan(text.search(/Move [\d.]+/));
  });
  it('carries them with a remedy even where the rig may come down', () => {
    const report = decided('keep');
    expect(flat(render(report))).not.toMatch(CLEARANCE);
    report.findings = [{ kind: 'blurred', severity: 'fault', frames: [3], message: 'blurred', remedy: 'Shoot the place again.' }];
    expect(flat(render(report))).toMatch(CLEARANCE);
  });
});

it('top-up moves for the clipboard', () => {
  expect(flat(topUpText(topUpMoves(topUp(), rail)))).toMatch(CLEARANCE);
  expect(flat(topUpText(topUpMoves(topUp(), rail)))).toMatch(CARE);
});

it('every word of the watch that moves the camera, in a line; in full where it goes back and forth', () => {
  const newest = 'specimen-0106.jpg';
  const after = (stepDof: number): string | null => watchAdvice(fixtureReport({ frames: 6, stepDof: 0.6, longSteps: { 4: stepDof }, dofUm: 25 }), newest).caution;
  expect([after(0.6), after(0.92)]).toEqual([expect.stringMatching(/room between lens and subject/), expect.stringMatching(/room between lens and subject/)]);
  expect(after(1.5)).toMatch(CLEARANCE);
  const unmeasured = fixtureReport({ frames: 6, stepDof: 0.6, dofUm: 25 });
  unmeasured.steps[4] = { ...unmeasured.steps[4]!, grade: 'unmeasured', stepDof: null, overlap: null };
  expect(watchAdvice(unmeasured, newest).caution).toMatch(/room between/);
});

it('plans and rail reports', () => {
  const plan = makePlan({ magnification: 5, fNumber: 2.8, pupilRatio: 1, pixelPitchUm: 3.9, wavelengthNm: null, depthUm: 900, overlap: 0.3, frameWidthPx: null, outputWidthPx: null, railUnitUm: null, workingDistanceMm: null });
  expect(flat(planText(plan, style))).toMatch(CLEARANCE);
  expect(flat(planText(plan, style))).toMatch(CARE);
  for (const report of [topUp(), fixtureReport({ frames: 3, stepDof: 0.6, dofUm: 25 })]) {
    const text = flat(railText(analyseRail(report, { commandedUm: null, unitsPerFrame: null, tiltDeg: null }), report.stack.frames.map((frame) => frame.file), style));
    expect(text).toMatch(CLEARANCE);
    expect(text).toMatch(CARE);
  }
});
