import { describe, expect, it } from 'vitest';
import { depthProfile } from '../../src/optics/depth-profile.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

/** A plane, exact by its formula: depth in DOF = 0.01 × column + 0.02 × row, in pixels, at tile centres. */
function plane() {
  const report = fixtureReport({ frames: 12, stepDof: 0.7, dofUm: 25 });
  const rows = 10, columns = 12, tilePx = 16;
  const depthDof = Array.from({ length: rows * columns }, (_, i): number | null => 0.01 * ((i % columns) + 0.5) * tilePx + 0.02 * (Math.floor(i / columns) + 0.5) * tilePx);
  report.tiles = { rows, columns, tilePx, depthDof, bestFrame: depthDof.map(() => 0), contrastLoss: depthDof.map(() => 0), state: depthDof.map(() => 'sharp') };
  return report;
}

describe('profile along a line', () => {
  it('follows a plane exactly between tile centres, in DOF and µm', () => {
    const profile = depthProfile(plane(), { row: 20, column: 30 }, { row: 100, column: 150 });
    expect(profile[0]!.distancePx).toBe(0);
    expect(profile.at(-1)!.distancePx).toBeCloseTo(Math.hypot(80, 120), 9);
    for (const { distancePx, depthDof, depthUm } of profile) {
      const part = distancePx / Math.hypot(80, 120);
      expect(depthDof).toBeCloseTo(0.01 * (30 + 120 * part) + 0.02 * (20 + 80 * part), 9);
      expect(depthUm).toBeCloseTo(25 * depthDof!, 9);
    }
    // 3.9 µm pixels at 5×: 0.78 µm on the subject.
    expect(profile.at(-1)!.distanceUm).toBeCloseTo(0.78 * Math.hypot(80, 120), 9);
    expect(Math.max(...profile.slice(1).map((p, i) => p.distancePx - profile[i]!.distancePx))).toBeLessThanOrEqual(8);
  });
  it('is silent, not zero, where the surface could not be measured or the picture ends', () => {
    const report = plane();
    report.tiles.state[3 * 12 + 4] = 'no-detail';
    const profile = depthProfile(report, { row: 56, column: 0 }, { row: 56, column: 230 });
    const at = (column: number) => profile.reduce((best, point) => (Math.abs(point.distancePx - column) < Math.abs(best.distancePx - column) ? point : best));
    expect(at(72).depthDof).toBeNull();
    expect(at(72).depthUm).toBeNull();
    expect(at(40).depthDof).not.toBeNull();
    expect(profile.at(-1)!.depthDof).toBeNull();
  });
  it('has no µm where the optics are unknown, and survives a line of no length', () => {
    const report = fixtureReport({ frames: 5, stepDof: 0.6, dofUm: null });
    const profile = depthProfile(report, { row: 500, column: 700 }, { row: 500, column: 700 });
    expect(profile.length).toBe(2);
    expect(profile[0]).toMatchObject({ distanceUm: null, depthUm: null });
  });
});
