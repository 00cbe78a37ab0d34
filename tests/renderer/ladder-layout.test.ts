import { describe, expect, it } from 'vitest';
import { ladderLayout } from '../../renderer/charts/ladder-layout.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

/** Twelve frames 0.6 DOF apart: two in one lane lie 1.2 DOF apart, so bars of ± 2 sigma meet from a sigma of 0.3 DOF on. */
const withSigma = (sigmaDof: number): boolean[] => {
  const report = fixtureReport({ frames: 12, stepDof: 0.6, dofUm: null, rows: 320, columns: 480 });
  report.stack.frames.forEach((frame, i) => { frame.positionDof = 0.6 * i; frame.positionSigmaDof = sigmaDof; });
  return ladderLayout(report).rungs.map(({ sigmaApart }) => sigmaApart);
};

describe('uncertainties in the ladder', () => {
  it('are drawn where each can be told from the next, not where they would run into one line', () => {
    expect(withSigma(0.29).every(Boolean)).toBe(true);
    expect(withSigma(0.31).some(Boolean)).toBe(false);
  });
});
