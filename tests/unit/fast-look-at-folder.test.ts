import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { fromShortFloats, NOT_A_NUMBER, shortFloats } from '../../src/image/short-floats.js';
import { useLadderKernel } from '../../src/ladder/fast-kernel.js';
import { fastBlockMeans, followFast } from '../../src/ladder/fast-look-at-folder.js';
import { fastUnlikeness, plainUnlikeness } from '../../src/ladder/frame-distance.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import { blocksOf, plainBlockMeans } from '../../src/registration/light-map.js';
import { followPlainly } from '../../src/sharpness/lasting-specks.js';
import type { LadderKernel } from '../../src/simd/ladder-kernel.js';
import { builtKernel, expectAlike } from '../helpers/plain-and-fast.js';

let kernel: LadderKernel;
beforeAll(async () => { kernel = await builtKernel(); });
afterEach(() => useLadderKernel(null));

/** The plain code is the reference here. */
describe('what is looked at in every cell of a folder\'s frames', () => {
  const random = randomFrom(8);
  it.each([[41, 67], [250, 375], [3, 9]])('gives the same means of blocks: %i × %i cells', (rows, columns) => {
    const codes = shortFloats(Float32Array.from({ length: rows * columns }, () => 2 * random() ** 3)), { down, across } = blocksOf(rows, columns);
    useLadderKernel(kernel);
    expectAlike(fastBlockMeans(codes, rows, columns, down, across)!, plainBlockMeans(fromShortFloats(codes, new Float32Array(codes.length)), rows, columns));
  });
  it('keeps the same least and largest, whatever is no number', () => {
    const count = 1003, ends = (): [Uint16Array, Uint16Array] => [new Uint16Array(count).fill(NOT_A_NUMBER), new Uint16Array(count)], plain = ends(), fast = ends();
    useLadderKernel(kernel);
    for (let frame = 0; frame < 5; frame++) {
      const codes = Uint16Array.from({ length: count }, () => (random() < 0.05 ? NOT_A_NUMBER : Math.floor(65_535 * random())));
      followPlainly(codes, ...plain);
      expect(followFast(codes, ...fast)).toBe(true);
    }
    expect(fast).toEqual(plain);
    expect(plain[0].some((v) => v < 20_000) && plain[1].some((v) => v > 50_000)).toBe(true);
  });
  it('finds frames as unlike', () => {
    const frames = 7, lines = Float64Array.from({ length: 90 * frames }, random);
    useLadderKernel(kernel);
    expectAlike(fastUnlikeness(lines, frames)!, plainUnlikeness(lines, frames));
  });
});
