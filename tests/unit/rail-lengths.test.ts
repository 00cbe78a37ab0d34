import { describe, expect, it } from 'vitest';
import type { OpticsKey, Report } from '../../src/contract/report.js';
import { analyseRail } from '../../src/diagnosis/rail-analysis.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

/** A rail's frames of which only these optics are known. */
function seenWith(known: Partial<Record<OpticsKey, number>>): Report {
  const report = fixtureReport({ frames: 20, stepDof: 0.6, dofUm: 25 });
  for (const key of Object.keys(report.optics) as OpticsKey[]) report.optics[key] = { value: known[key] ?? null, source: known[key] === undefined ? 'unknown' : 'option' };
  return report;
}
const lengths = (known: Partial<Record<OpticsKey, number>>, tiltDeg: number | null = null): string | undefined =>
  analyseRail(seenWith(known), { commandedUm: null, unitsPerFrame: null, tiltDeg }).cautions.find((text) => text.startsWith('Lengths'));

// Lengths follow from magnification and aperture, or from magnification, pixel pitch and the target's tilt (optics-reference, formulas); what is given is not asked for again.
describe('a rail without lengths', () => {
  it('says what is missing, by either way', () => {
    expect(lengths({})).toBe('Lengths are not known in µm. Missing: --magnification and --aperture; or --magnification, --pixel-pitch and --tilt, and the target’s angle becomes the ruler.');
    expect(lengths({ magnification: 5, pixelPitchUm: 3.9 })).toBe('Lengths are not known in µm. Missing: --aperture; or --tilt, and the target’s angle becomes the ruler.');
    expect(lengths({ fNumber: 2.8, pixelPitchUm: 3.9 }, 30)).toBe('Lengths are not known in µm. Missing: --magnification.');
  });

  it('says nothing of it where they are known', () => { expect(lengths({ magnification: 5, fNumber: 2.8, dofUm: 25 })).toBeUndefined(); });
});
