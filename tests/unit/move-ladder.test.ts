import { describe, expect, it } from 'vitest';
import { moveLadder } from '../../src/ladder/move-ladder.js';

describe('moveLadder', () => {
  // Linear interpolation, worked by hand.
  it('carries tiles along with the frames around them, frames in any order', () => {
    const state = { z: Float64Array.of(4, 0, 2), depth: Float64Array.of(-3, 0, 0.5, 2, 3, 4, 9) };
    moveLadder(state, Float64Array.of(0.4, -0.1, 0.1));
    expect([...state.z]).toEqual([4.4, -0.1, 2.1]);
    [-3.1, -0.1, 0.45, 2.1, 3.25, 4.4, 9.4].forEach((depth, t) => expect(state.depth[t]).toBeCloseTo(depth, 12));
  });
});
