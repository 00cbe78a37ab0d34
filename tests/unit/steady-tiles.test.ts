import { describe, expect, it } from 'vitest';
import { steadyTiles } from '../../src/ladder/steady-tiles.js';
import type { TileStack } from '../../src/ladder/tile-stack.js';

const FRAMES = 10, TILES = 100;

/** All tiles sharpest in frame 4; the first ten are trusted elsewhere only, the next ten lost trust far from focus. */
function stackByHand(): TileStack {
  const middle = new Float32Array(TILES * FRAMES), trust = new Float32Array(TILES * FRAMES).fill(1);
  for (let t = 0; t < TILES; t++) for (let k = 0; k < FRAMES; k++) {
    middle[t * FRAMES + k] = 100 * Math.exp(-((k - 4) ** 2)) + 1;
    if ((t < 10 && Math.abs(k - 4) < 3) || (t >= 10 && t < 20 && Math.abs(k - 4) >= 3)) trust[t * FRAMES + k] = 0;
  }
  return { frames: FRAMES, trust, gridRows: 10, gridColumns: 10, inside: new Uint8Array(TILES).fill(1), light: new Float64Array(TILES), energy: [middle, middle, middle], noise: [0, 1, 2].map(() => new Float64Array(FRAMES).fill(1)) } as unknown as TileStack;
}

describe('steadyTiles', () => {
  it('leaves out tiles whose brightness is another near their focus, and keeps those where it is far from it', () => {
    expect([...steadyTiles(stackByHand(), Int32Array.from({ length: TILES }, (_, t) => t))]).toEqual(Array.from({ length: 90 }, (_, i) => i + 10));
  });

  it('keeps all where too few would be left', () => {
    const few = Int32Array.from({ length: 65 }, (_, t) => t);
    expect(steadyTiles(stackByHand(), few)).toBe(few);
  });
});
