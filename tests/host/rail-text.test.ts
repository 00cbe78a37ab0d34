import { describe, expect, it } from 'vitest';
import { RAIL_SCHEMA, type RailReport } from '../../src/contract/rail.js';
import { railText } from '../../src/cli/text/rail-text.js';

const style = { columns: 80, colour: false };
const rail = (change: Partial<RailReport>): RailReport => ({
  schema: RAIL_SCHEMA, commandedUm: 20, measuredUm: 19.5, measuredSigmaUm: 0.4, measuredDof: 0.8, scatterUm: 0.6, measurementUm: 0.2, slackUm: 31, slackAt: 'turn', slackSigmaUm: 1.5,
  drift: 0.05, driftSigma: 0.01, periodic: { periodUm: 250, amplitudeUm: 2.1, phaseDeg: 0 }, missing: [], slips: [{ afterFrame: 1, um: 9 }], railUnitUm: 9.75, flatnessUm: 2, scaleFrom: 'tilt', frames: 3,
  chart: [0, 1, 2].map((frame) => ({ frame, measuredUm: 19.5 * frame + (frame === 1 ? 1.2 : 0), sigmaUm: 0.2, expectedUm: 19.5 * frame })), cautions: ['Look from the side.'], ...change,
});

describe('a rail in words', () => {
  it('says step, unit, scatter, slack, drift, screw, slips and cautions within the width', () => {
    const text = railText(rail({}), ['0101', '0102', '0103'], style);
    for (const words of [/really moves 19\.5 ± 0\.4 µm a frame, where 20\.0 µm were asked for/, /\(−2\.5 %\)/, /Rail unit +9\.8 µm|Rail unit +9\.7 µm/, /of which the measurement makes 0\.20 µm/, /31\.0 ± 1\.5 µm where the rail turned back/,
      /5\.0 % longer at the end/, /2\.1 µm either way, every 250 µm/, /Slips +after 0102 by \+9\.0 µm/, /the tilt of the target/, /Look from the side/, /0102 +20\.7 µm .*o +\+1\.2/]) expect(text.replace(/\s+/g, ' ')).toMatch(words);
    for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });
  it('claims no drift and no scatter that the measurement could make by itself', () => {
    const text = railText(rail({ drift: 0.015, driftSigma: 0.001, scatterUm: 0.1, measurementUm: 0.2 }), ['a', 'b', 'c'], style);
    expect(text).toMatch(/none that can be told/);
    expect(text).toMatch(/no more than the measurement/);
  });
  it('says that it cannot tell', () => {
    const unknown = { measuredUm: null, measuredDof: null, scatterUm: null, measurementUm: null, slackUm: null, driftSigma: null, periodic: null, missing: [], slips: [], railUnitUm: null, scaleFrom: 'unknown' as const, chart: [] };
    expect(railText(rail(unknown), [], style)).toMatch(/^Cannot tell what the rail does\./);
    expect(railText(rail({ ...unknown, measuredDof: 0.7 }), [], style)).toMatch(/0\.70 DOF a frame; how much that is in µm is not known/);
  });
});
