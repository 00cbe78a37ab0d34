import { describe, expect, it } from 'vitest';
import type { Progress } from '../../src/pipeline/analyse-request.js';
import { failureLine } from '../../src/cli/failure-line.js';
import { UserError } from '../../src/contract/errors.js';
import { lengthText, measuredText, shareText } from '../../src/optics/number-text.js';
import { planText } from '../../src/cli/text/plan-text.js';
import { progressText } from '../../src/cli/text/progress-text.js';
import { railText } from '../../src/cli/text/rail-text.js';
import { reportText } from '../../src/cli/text/report-text.js';
import { wrapText } from '../../src/cli/text/wrap-text.js';
import { analyseRail } from '../../src/diagnosis/rail-analysis.js';
import { makePlan } from '../../src/optics/make-plan.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

const rail = { railUnitUm: 10, workingDistanceMm: 42 };
const gaps = fixtureReport({ frames: 20, stepDof: 0.6, longSteps: { 5: 1.9, 12: 2.4 }, emptySteps: [12], dofUm: 24.8, flags: { 3: ['blurred'] } });
const plain = /\x1b\[\d+m/g;
const lines = (text: string): string[] => text.split('\n');

describe('reportText', () => {
  it.each([40, 60, 80, 100])('keeps to %i columns', (columns) => {
    expect(Math.max(...lines(reportText(gaps, rail, { columns, colour: false })).map((line) => line.length))).toBeLessThanOrEqual(columns);
  });
  it('says the same with and without colour', () => {
    const coloured = reportText(gaps, rail, { columns: 80, colour: true });
    expect(coloured).toContain('\x1b[');
    expect(coloured.replace(plain, '')).toBe(reportText(gaps, rail, { columns: 80, colour: false }));
  });
  it('says the verdict and where frames are missing once more at the end, which is what a terminal shows of a long text', () => {
    const text = lines(reportText(gaps, rail, { columns: 100, colour: false }));
    expect(text.at(-2)).toBe('Leave the rig up: two frames are missing. Add 2 frames between 0106 and 0107.');
  });
  it('draws a missing band higher the more is missing, and tells it from an empty one', () => {
    const text = lines(reportText(gaps, rail, { columns: 80, colour: false }));
    // 1.9 DOF leave .9 DOF in no frame: two lines of half a DOF each.
    expect(text.filter((line) => /^ {2}\/{4,}/.test(line))).toHaveLength(2);
    expect(text.filter((line) => /^ {2}\.{4} .*harmless/.test(line))).toHaveLength(1);
  });
  it('shows the flags of a frame on its rung', () => expect(lines(reportText(gaps, rail, { columns: 80, colour: false })).find((line) => /^ {2}0104 /.test(line))).toMatch(/blurred$/));
  it('folds the quiet parts of a long stack but never a gap or a flag', () => {
    const long = fixtureReport({ frames: 300, stepDof: 0.6, longSteps: { 120: 1.9 }, dofUm: 24.8, flags: { 200: ['repeat'] } });
    const text = reportText(long, rail, { columns: 80, colour: false });
    expect(lines(text).length).toBeLessThan(80);
    expect(text).toMatch(/\/\/\/\/ .* in no frame/);
    expect(text).toMatch(/repeat/);
  });
  it('without optics speaks in DOF and says which options give µm', () => {
    const text = reportText(fixtureReport({ frames: 12, stepDof: 0.6, dofUm: null }), { railUnitUm: null, workingDistanceMm: null }, { columns: 80, colour: false }).replace(/\s+/g, ' ');
    expect(text).toMatch(/0\.\d\d ± 0\.\d\d DOF/);
    expect(text).not.toMatch(/\d µm/);
    expect(text).toMatch(/For µm give .*--magnification and --aperture/);
  });
  it('names frames that have no rung', () => {
    const report = structuredClone(gaps);
    report.stack.frames[7].flags = ['unreadable'];
    report.stack.order = report.stack.order.filter((index) => index !== 7);
    expect(reportText(report, rail, { columns: 80, colour: false })).toMatch(new RegExp(`1 frame left out of the ladder: ${report.stack.frames[7].file} \\(unreadable\\)`));
  });
  it('calls what was not measured neither good nor a gap', () => {
    const report = structuredClone(gaps);
    Object.assign(report.steps[2], { grade: 'unmeasured', stepDof: 0.9, stepUm: 22, overlap: 0.1, atLeast: true });
    const rung = lines(reportText(report, rail, { columns: 80, colour: false })).find((line) => line.includes('≥'));
    expect(rung).toMatch(/≥ 22\.0 .*not known/);
  });
});

describe('plans and rails', () => {
  const request = { magnification: 5, fNumber: 2.8, pupilRatio: null, pixelPitchUm: 3.9, wavelengthNm: null, depthUm: 900, overlap: 0.3, frameWidthPx: null, outputWidthPx: null, railUnitUm: 5, workingDistanceMm: 42 };
  it.each([48, 60, 80, 100])('keep to %i columns; narrow ones do without the less needed figures', (columns) => {
    const text = planText(makePlan(request), { columns, colour: false });
    expect(Math.max(...lines(text).map((line) => line.length))).toBeLessThanOrEqual(columns);
    for (const words of ['aperture', 'DOF', 'frames', 'resolves', '> f/2.8']) expect(text).toContain(words);
    expect(/ Airy /.test(text)).toBe(columns >= 80);
    const report = railText(analyseRail(gaps, { commandedUm: null, unitsPerFrame: 2, tiltDeg: null }), gaps.stack.frames.map((frame) => frame.file.slice(-8)), { columns, colour: false });
    expect(Math.max(...lines(report).map((line) => line.length))).toBeLessThanOrEqual(columns);
    expect(report).not.toMatch(/[−+]0\.0\b/);
  });
});

describe('small texts', () => {
  it('keeps a number and its unit on one line', () => {
    for (let columns = 12; columns < 60; columns++) for (const line of wrapText('The step is 47 µm, 1.87 × DOF: 9 % of 3 frames, in 24 px at 550 nm and 42 mm.', columns)) expect(line).not.toMatch(/^(µm|×|DOF|%|px|nm|mm)/);
  });
  it('wraps at spaces and keeps long words whole', () => expect(wrapText('one two /a/very/long/path x', 9, '  ', '- ')).toEqual(['- one two', '  /a/very/long/path', '  x']));
  it.each([[14.94, 0.21, '14.9 ± 0.2 µm'], [0.41, 0.02, '0.4 ± 0.1 µm'], [123.4, 3.6, '123 ± 4 µm'], [1428, 21, '1428 ± 21 µm'], [12_340, 160, '12.34 ± 0.16 mm'], [5, null, '5.0 µm']])('%f ± %s µm is %s, and never sure to the last digit', (um, sigma, text) => expect(measuredText(um, sigma)).toBe(text));
  it.each([[14.94, '14.9 µm'], [120.4, '120 µm'], [1250, '1.25 mm'], [0, '0.0 µm'], [0.25, '0.25 µm']])('%f µm is %s', (um, text) => expect(lengthText(um)).toBe(text));
  it.each([[0.12, '12 %'], [0.024, '2.4 %'], [0, '0 %'], [0.0004, 'below 0.1 %']])('%f is %s', (share, text) => expect(shareText(share)).toBe(text));
  it('shows progress with the time left, within the terminal', () => {
    const progress: Progress = { stage: 'reading', done: 7, all: 20, elapsedMs: 4000, leftMs: 7400 };
    expect(progressText(progress, 80)).toBe('Reading frames 7 of 20, 7 s left');
    expect(progressText(progress, 12).length).toBeLessThan(12);
  });
  it('tells a failure in one line, without a stack', () => {
    expect(failureLine(new UserError('The disk is full.', 'Make room.'))).toBe('rungwise: The disk is full. Make room.\n');
    const odd = failureLine(new TypeError('x is\n not a function'));
    expect(odd.trimEnd()).not.toContain('\n');
    expect(odd).toMatch(/should not have/);
  });
});
