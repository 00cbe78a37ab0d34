import { describe, expect, it } from 'vitest';
import type { Report } from '../../../src/contract/report.js';
import type { StackTruth } from '../stack/stack-truth.js';
import { scoreReport } from './score-report.js';

// Truth and reports written by hand: the judge itself is on trial here.
const STEPS = [0.6, 0.6, 2.0, 0.6, 0.6], UNIT = 25;
const POSITIONS = STEPS.reduce((z, s) => [...z, z[z.length - 1] + s], [0]);

function truthByHand(change: Partial<StackTruth> = {}): StackTruth {
  return {
    name: 'by-hand-1', frames: POSITIONS.map((_, i) => `f${i}.jpg`), positionsUm: POSITIONS.map((z) => z * UNIT), depthOrder: POSITIONS.map((_, i) => i),
    stepsUm: STEPS.map((s) => s * UNIT), dofUm: UNIT, softShare: [0, 0, 0.1, 0, 0], surfaceShare: [0.1, 0.1, 0.3, 0.1, 0.1], nearShare: 0, farShare: 0,
    magnification: 5, fNumber: 2.8, pupilRatio: 1, pixelPitchUm: 3.9, pupilToSubjectUm: 65_000, harmless: [], harmful: [2], ...change,
  };
}

function reportByHand(positions: number[], change: (report: Report) => void = () => undefined): Report {
  const report = {
    stack: { frames: positions.map((z, i) => ({ file: `f${i}.jpg`, positionDof: z, positionUm: z * UNIT, flags: [] as string[] })), order: positions.map((_, i) => i), direction: 'near-first' },
    steps: positions.slice(1).map((z, k) => ({ from: k, to: k + 1, stepDof: z - positions[k], sigmaDof: 0.02, grade: z - positions[k] > 1.01 ? 'gap' : 'good', atLeast: false, softAreaShare: z - positions[k] > 1.01 ? 0.1 : 0 })),
    ends: [{ side: 'near', open: false, areaShare: 0 }, { side: 'far', open: false, areaShare: 0 }], verdict: { decision: 'top-up', reasons: [] },
  } as unknown as Report;
  change(report);
  return report;
}

describe('scoreReport', () => {
  it('has nothing to say against the truth itself', () => {
    const score = scoreReport(reportByHand(POSITIONS), truthByHand());
    expect(score.problems).toEqual([]);
    expect(score).toMatchObject({ gaps: 1, gapsMissed: 0, falseGaps: 0, unmeasured: 0, verdictWrong: false });
    expect(Math.max(...score.stepErrors)).toBeLessThan(1e-9);
  });

  it('accepts a mirrored axis where no direction is claimed, and not where one is', () => {
    const mirrored = POSITIONS.map((z) => POSITIONS[POSITIONS.length - 1] - z);
    const flip = (direction: Report['stack']['direction']) => (r: Report) => {
      r.stack.direction = direction;
      r.steps = r.steps.map((s) => ({ ...s, grade: Math.abs(s.stepDof!) > 1.01 ? 'gap' : 'good', softAreaShare: Math.abs(s.stepDof!) > 1.01 ? 0.1 : 0 }));
    };
    expect(scoreReport(reportByHand(mirrored, flip('unknown')), truthByHand()).problems).toEqual([]);
    expect(scoreReport(reportByHand(mirrored, flip('near-first')), truthByHand()).problems).toEqual(['near and far are swapped']);
  });

  it('finds a missed gap, an invented one, a wrong order and a wrong verdict', () => {
    const missed = scoreReport(reportByHand(POSITIONS, (r) => { r.steps[2].grade = 'good'; }), truthByHand());
    expect(missed.gapsMissed).toBe(1);
    const invented = scoreReport(reportByHand(POSITIONS, (r) => { r.steps[0].grade = 'gap'; }), truthByHand());
    expect(invented.falseGaps).toBe(1);
    const swapped = scoreReport(reportByHand([0, 1.2, 0.6, 3.2, 3.8, 4.4]), truthByHand());
    expect(swapped.orderWrong).toBe(1);
    expect(scoreReport(reportByHand(POSITIONS, (r) => { r.verdict.decision = 'keep'; }), truthByHand()).verdictWrong).toBe(true);
  });

  it('counts vague and unmeasured steps and leaves them out of the errors', () => {
    const score = scoreReport(reportByHand([0, 0.9, 1.2, 3.2, 3.8, 4.4], (r) => { r.steps[0].sigmaDof = 0.3; r.steps[1].grade = 'unmeasured'; }), truthByHand());
    expect(score.unmeasured).toBe(2);
    expect(score.stepErrors).toHaveLength(3);
  });

  it('asks for the flags the faults deserve', () => {
    const truth = truthByHand({ blurred: [1], harmful: [2], bump: 3 });
    expect(scoreReport(reportByHand(POSITIONS), truth).flagsMissed).toBe(2);
    const flagged = reportByHand(POSITIONS, (r) => { r.stack.frames[1].flags = ['blurred']; r.stack.frames[3].flags = ['shifted']; r.stack.frames[4].flags = ['subject-moved']; });
    expect(scoreReport(flagged, truth)).toMatchObject({ flagsMissed: 0, flagsInvented: 1 });
  });
});
