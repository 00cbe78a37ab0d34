import { describe, expect, it } from 'vitest';
import { plainText } from '../../renderer/format/rich-text.js';
import { verdictFigures, verdictWords } from '../../renderer/format/verdict-words.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

/** What the verdict must say is design.md, section 6: frames by the digits that tell them apart, size in µm and DOF, share of the picture, what to do. */
const labels = Array.from({ length: 20 }, (_, i) => String(101 + i).padStart(4, '0'));
const gap = { frames: 20, stepDof: 0.6, longSteps: { 8: 1.85 }, dofUm: 24.84, rows: 480, columns: 720 };

describe('the verdict in words', () => {
  it('names the frames, the size in µm and DOF, the share, and how many to add', () => {
    const { headline, detail } = verdictWords(fixtureReport(gap), labels);
    expect(headline).toBe('Leave the rig up: two frames are missing.');
    expect(plainText(detail)).toMatch(/^Add two frames between 0109 and 0110: the step there is 46\u202fµm, 1\.85 × DOF, and \d+(\.\d)?\u202f% of the picture lies soft\./);
  });

  it('says three reasons of a stack to be shot anew, and where the rest is: a dozen would push the picture out of the window', () => {
    const report = fixtureReport(gap), said = (reasons: string[]): string => {
      report.verdict = { decision: 'reshoot', reasons };
      return plainText(verdictWords(report, labels).detail);
    };
    expect(said(['A.', 'B.', 'C.', 'D.'])).toBe('A. B. C. D.');
    expect(said(['A.', 'B.', 'C.', 'D.', 'E.'])).toBe('A. B. C. Two more reasons are in the report that Save… writes.');
  });

  it('keeps to DOF where optics are unknown', () => {
    const text = plainText(verdictWords(fixtureReport({ ...gap, dofUm: null }), labels).detail);
    expect(text).toContain('1.85 × DOF');
    expect(text).not.toContain('µm');
  });

  it('counts in what all steps are off by together under an unknown lens: independent errors add in quadrature', () => {
    const report = fixtureReport({ ...gap, dofUm: null }), perStep = (): string | undefined => verdictFigures(report).find(({ unit }) => unit === 'per step')?.value;
    for (const step of report.steps) step.sigmaDof = 0.03;
    report.rail.medianStepDof = 0.5;
    report.scaleSigma = 0.08;
    expect(perStep()).toMatch(/^±0\.05/);
  });

  it('names as the longest that overlaps only one that was measured to', () => {
    const report = fixtureReport({ ...gap, longSteps: {} });
    Object.assign(report.steps[4], { stepDof: 1.16, grade: 'unmeasured', surfaceShare: 0.01 });
    Object.assign(report.steps[6], { stepDof: 0.72, grade: 'good', surfaceShare: 0.05 });
    expect(plainText(verdictWords(report, labels).detail)).toMatch(/the longest, 0107 to 0108, is .*0\.72 × DOF/);
  });

  it('never calls an end closed that could not be judged', () => {
    const report = fixtureReport({ ...gap, longSteps: {} });
    expect(plainText(verdictWords(report, labels).detail)).toContain('Both ends are closed.');
    report.ends[1].open = null;
    const text = plainText(verdictWords(report, labels).detail);
    expect(text).toContain('beyond the far end could not be told');
    expect(text).not.toContain('closed');
  });

  it('says that it cannot tell, and why, and lets nobody take the rig down on it', () => {
    const { headline, detail } = verdictWords(fixtureReport({ ...gap, undecided: true }), labels);
    expect(headline).toMatch(/^Cannot tell/);
    expect(plainText(detail)).toContain('Too little detail');
  });
});
