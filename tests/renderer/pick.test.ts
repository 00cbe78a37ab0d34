import { describe, expect, it } from 'vitest';
import { firstPick, pickMark, pickTile, tilesOfMark, validPick } from '../../renderer/state/pick.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

/** What belongs together is read off the fixture's own surface: a tile is soft where its depth is over half a DOF from every frame (contract.md, soft area). */
const report = fixtureReport({ frames: 12, stepDof: 0.6, longSteps: { 2: 1.5, 6: 2.4 }, dofUm: 24.84, rows: 480, columns: 720 });
const position = (frame: number): number => report.stack.frames[frame].positionDof!;

describe('picking', () => {
  it('shows first the gap that leaves most of the picture soft', () => {
    const worst = report.steps.reduce((best, step, i) => (step.softAreaShare > report.steps[best].softAreaShare ? i : best), 0);
    const picked = firstPick(report);
    expect(picked.mark).toEqual({ kind: 'step', step: worst });
    expect(report.tiles.state[picked.tile!]).toBe('soft');
  });

  it('marks as places of a gap exactly the soft tiles whose depth lies in it', () => {
    const tiles = tilesOfMark(report, { kind: 'step', step: 6 });
    const expected = [...report.tiles.state.keys()].filter((t) => report.tiles.state[t] === 'soft' && report.tiles.depthDof[t]! >= position(6) && report.tiles.depthDof[t]! <= position(7));
    expect(expected.length).toBeGreaterThan(10);
    expect(tiles).toEqual(expected);
  });

  it('marks the gap of a soft place and the frame of a sharp one, and keeps the place', () => {
    const soft = tilesOfMark(report, { kind: 'step', step: 2 })[0];
    expect(pickTile(report, soft)).toEqual({ mark: { kind: 'step', step: 2 }, tile: soft });
    const sharp = report.tiles.state.indexOf('sharp');
    expect(pickTile(report, sharp)).toEqual({ mark: { kind: 'frame', frame: report.tiles.bestFrame[sharp] }, tile: sharp });
    const blank = report.tiles.state.indexOf('no-detail');
    expect(pickTile(report, blank)).toEqual({ mark: null, tile: blank });
  });

  it('keeps a place that belongs to what is marked, and moves one that does not', () => {
    const places = tilesOfMark(report, { kind: 'step', step: 6 });
    expect(pickMark(report, { kind: 'step', step: 6 }, places[3]).tile).toBe(places[3]);
    expect(places).toContain(pickMark(report, { kind: 'step', step: 6 }, report.tiles.state.indexOf('sharp')).tile);
  });

  it('drops what an old address names and this report does not have', () => {
    expect(validPick(report, { mark: { kind: 'frame', frame: 12 }, tile: report.tiles.state.length })).toEqual({ mark: null, tile: null });
    expect(validPick(report, { mark: { kind: 'step', step: 10 }, tile: 0 })).toEqual({ mark: { kind: 'step', step: 10 }, tile: 0 });
  });
});
