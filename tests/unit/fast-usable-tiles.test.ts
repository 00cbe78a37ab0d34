import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { plainSharpest } from '../../src/ladder/choose-tiles.js';
import { useLadderKernel } from '../../src/ladder/fast-kernel.js';
import { fastReadable, fastSharpest } from '../../src/ladder/fast-usable-tiles.js';
import { grownMask } from '../../src/ladder/grown-mask.js';
import { plainReadable } from '../../src/ladder/plain-usable-tiles.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import type { TileStack } from '../../src/ladder/tile-stack.js';
import type { LadderKernel } from '../../src/simd/ladder-kernel.js';
import { builtKernel, byBoth } from '../helpers/plain-and-fast.js';

let kernel: LadderKernel;
beforeAll(async () => { kernel = await builtKernel(); });
afterEach(() => useLadderKernel(null));

/** Tiles of which some lie outside, hold clipped pixels, stand before dark ground, show little or are lit by others now and then. */
function stackOf(gridRows: number, gridColumns: number, frames: number): TileStack {
  const random = randomFrom(gridRows + frames), tiles = gridRows * gridColumns, flags = (share: number): Uint8Array => Uint8Array.from({ length: tiles }, () => (random() < share ? 1 : 0));
  return {
    gridRows, gridColumns, frames, inside: flags(0.9), clear: flags(0.95),
    light: Float64Array.from({ length: tiles }, (_, t) => (t % gridColumns > 0.8 * gridColumns ? -1.3 : 0) + 0.2 * random()),
    energy: [0, 1].map(() => Float32Array.from({ length: tiles * frames }, (_, i) => 1.5 + 12 * Math.exp(-(((i % frames) - (Math.floor(i / frames) % frames)) ** 2)) * random() ** 4)),
    noise: [0, 1].map(() => Float64Array.from({ length: frames }, () => 1 + 0.2 * random())), noiseFloor: Float64Array.from([0.9, 0.11]),
    trust: Float32Array.from({ length: tiles * frames }, () => (random() < 0.4 ? 0.1 : 1)),
  } as unknown as TileStack;
}

describe('usable, steady and sharpest tiles', () => {
  it.each([[41, 63, 7], [3, 90, 6], [80, 75, 13], [4, 5, 4]])('are the same by the kernel as by the plain code: %i × %i tiles, %i frames', (gridRows, gridColumns, frames) => {
    const stack = stackOf(gridRows, gridColumns, frames), plain = plainReadable(stack), some = plain.usable.filter((_, i) => i % 3 !== 1), sharpest = plainSharpest(stack, some);
    useLadderKernel(kernel);
    expect(fastReadable(stack)).toEqual(plain);
    expect(fastSharpest(stack, some)).toEqual(sharpest);
    // The stack asks every question: some tiles fall out by each.
    if (gridRows < 40) return;
    expect(plain.strong).toBeLessThan(plain.usable.length);
    expect(plain.usable.length).toBeLessThan(plain.inside);
    expect(plain.steady.length).toBeLessThan(plain.usable.length);
    expect(plain.inside).toBeLessThan(gridRows * gridColumns);
    expect(new Set(sharpest).size).toBe(frames);
  });

  // Around a tile lie eight others, fewer at the edge.
  it('grow by one ring of tiles, cut off at the edges', () => {
    const mask = new Uint8Array(7 * 9), { plain, fast } = byBoth(kernel, () => { for (const [r, c] of [[0, 0], [3, 4], [6, 8], [5, 8]]) mask[r * 9 + c] = 1; return grownMask(mask, 7, 9); });
    expect(fast).toEqual(plain);
    expect(fast.reduce((sum, v) => sum + v, 0)).toBe(4 + 9 + 6);
    expect([fast[1 * 9 + 1], fast[2 * 9 + 3], fast[4 * 9 + 7], fast[2], fast[3 * 9 + 6], fast[3 * 9 + 8]]).toEqual([1, 1, 1, 0, 0, 0]);
  });
});
