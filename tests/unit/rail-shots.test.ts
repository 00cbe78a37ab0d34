import { describe, expect, it } from 'vitest';
import { fitRail } from '../../src/diagnosis/rail-fit.js';
import { railShots, type PlacedFrame } from '../../src/diagnosis/rail-shots.js';
import { Random } from '../helpers/render/random.js';

// Positions and names are made here by hand: a rail that moves by 20 a shot, from the second shot on.

const name = (n: number): string => `P0${1100 + n}.jpg`;
const steady = (shots: readonly number[]): { files: string[]; placed: PlacedFrame[] } => ({ files: shots.map(name), placed: shots.map((n, index) => ({ index, dof: 20 * n })) });

describe('moves of the rail by the numbers of the files', () => {
  it('counts deleted frames', () => {
    const { files, placed } = steady([1, 2, 3, 4, 5, 8, 9, 10, 11, 12]);
    expect(railShots(files, placed)).toEqual({ shot: [0, 1, 2, 3, 4, 7, 8, 9, 10, 11], missing: [{ afterFrame: 4, count: 2, moved: true }] });
  });
  it('does not believe a number where the rail made a single move', () => {
    const { files } = steady([1, 2, 3, 4, 5, 8, 9, 10]);
    const placed = files.map((_, index) => ({ index, dof: 20 * index }));
    expect(railShots(files, placed)).toEqual({ shot: [0, 1, 2, 3, 4, 5, 6, 7], missing: [{ afterFrame: 4, count: 2, moved: false }] });
  });
  it('counts frames that are there but could not be placed', () => {
    const { files, placed } = steady([1, 2, 3, 4, 5, 6, 7]);
    expect(railShots(files, placed.filter(({ index }) => index !== 3))).toEqual({ shot: [0, 1, 2, 4, 5, 6], missing: [] });
  });
  it('counts files where names tell nothing', () => {
    for (const files of [['a.jpg', 'b.jpg', 'c.jpg', 'd.jpg'], ['x1.jpg', 'y2.jpg', 'x7.jpg', 'x8.jpg'], ['s1.jpg', 's5.jpg', 's6.jpg', 's19.jpg']]) {
      expect(railShots(files, files.map((_, index) => ({ index, dof: 20 * index })))).toEqual({ shot: [0, 1, 2, 3], missing: [] });
    }
  });
  it('reads numbers that go up in tens', () => {
    const files = [10, 20, 30, 50, 60].map((n) => `s${n}.png`);
    expect(railShots(files, [1, 2, 3, 5, 6].map((n, index) => ({ index, dof: 20 * n }))).shot).toEqual([0, 1, 2, 4, 5]);
  });
});

it('a rail from which frames were deleted has no slips and the step it has', () => {
  const random = new Random(11);
  const kept = Array.from({ length: 24 }, (_, k) => k).filter((k) => k !== 9 && k !== 10 && k !== 17);
  const placed = kept.map((k, index) => ({ index, dof: Math.max(0, k - 1.5) * 0.7 + 0.01 * random.normal() }));
  const { shot, missing } = railShots(kept.map(name), placed);
  const fit = fitRail(placed.map(({ dof }) => dof), shot)!;
  expect(fit.slips).toEqual([]);
  expect(Math.abs(fit.step / 0.7 - 1)).toBeLessThan(0.02);
  expect(Math.abs(fit.startSlack / 0.7 - 1.5)).toBeLessThan(0.15);
  expect(missing.map(({ count }) => count)).toEqual([2, 1]);
  // Without the numbers the same rail seems to slip.
  expect(fitRail(placed.map(({ dof }) => dof))!.slips.length).toBeGreaterThanOrEqual(2);
});
