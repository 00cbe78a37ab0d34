import { describe, expect, it } from 'vitest';
import { railFigures } from '../../renderer/format/rail-words.js';
import { RAIL_SCHEMA, type RailReport } from '../../src/contract/rail.js';

const rail: RailReport = {
  schema: RAIL_SCHEMA, commandedUm: 20, measuredUm: 19.53, measuredSigmaUm: 0.42, measuredDof: 0.8, scatterUm: 0.6, measurementUm: 0.2, slackUm: 31, slackAt: 'turn', slackSigmaUm: 1.5,
  drift: 0, driftSigma: null, periodic: null, slips: [], missing: [], railUnitUm: null, flatnessUm: null, scaleFrom: 'tilt', frames: 12, chart: [], cautions: [],
};
const said = (name: string, of: RailReport): string => { const found = railFigures(of, []).find((figure) => figure.name === name)!; return `${found.value.replaceAll('\u202f', ' ')} | ${found.meaning.replaceAll('\u202f', ' ')}`; };

/** A length and its uncertainty share the unit that stands behind them, the way number-text.ts says them: never a bare number. */
describe('figures of a rail', () => {
  it('say a length and its uncertainty in one unit', () => {
    expect(said('Real step', rail)).toMatch(/^19\.5 ± 0\.4 µm \|/);
    expect(said('Slack', rail)).toMatch(/^31 ± 2 µm \|/);
    expect(said('Real step', { ...rail, measuredUm: 12_345, measuredSigmaUm: 40 })).toMatch(/^12\.3 ± 0\.04 mm \|/);
  });

  it('say no 0.0 µm', () => {
    expect(said('Scatter', rail)).toContain('0.2 µm of it may be the measurement');
    expect(said('Scatter', { ...rail, measurementUm: 0.01 })).toContain('next to nothing of it may be the measurement');
  });
});
