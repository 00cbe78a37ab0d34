import { describe, expect, it } from 'vitest';
import { findBlurred, type LossOfDetail } from '../../src/ladder/find-blurred.js';

const FRAMES = 12, Z = Float64Array.from({ length: FRAMES }, (_, k) => 0.5 * k);

/** Frames as sharp as they should be, but for one that lost so much of the fine band, half of it of the coarsest too. */
function lossOf(at: number, lost: number, error: number): LossOfDetail {
  const fine = Float64Array.from({ length: FRAMES }, (_, k) => (k === at ? -lost : k % 2 ? 0.0005 : -0.0005)), lead = fine.map((v) => v / 2 - (v < -0.01 ? 0.02 : 0));
  return { fine, lead, error: new Float64Array(FRAMES).fill(0.003).map((v, k) => (k === at ? error : v)) };
}
function found(loss: LossOfDetail, settle = true): number[] {
  const blurred = new Array<boolean>(FRAMES).fill(false);
  findBlurred(loss, Z, blurred, new Float64Array(FRAMES), settle);
  return blurred.flatMap((b, k) => (b ? [k] : []));
}

// What was lost is put in by hand: 0.2 is a fifth of the contrast; an error of 0.1 leaves half of it to chance, one of 0.005 none.
describe('findBlurred', () => {
  it('finds a frame that clearly lost fine detail', () => {
    expect(found(lossOf(5, 0.2, 0.005))).toEqual([5]);
    expect(found(lossOf(5, 0.09, 0.005))).toEqual([5]);
  });
  it('does not take the chance of a few tiles for a loss', () => {
    expect(found(lossOf(5, 0.2, 0.1))).toEqual([]);
    expect(found(lossOf(5, 0.09, 0.033))).toEqual([]);
  });
  it('suspects a frame that lost a little against its neighbours, and only until it is settled', () => {
    expect(found(lossOf(5, 0.05, 0.003), false)).toEqual([5]);
    expect(found(lossOf(5, 0.05, 0.003), true)).toEqual([]);
  });
});
