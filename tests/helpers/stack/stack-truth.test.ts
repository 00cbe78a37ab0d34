import { describe, expect, it } from 'vitest';
import { BENCH_LENS } from '../render/lens.js';
import type { PlannedStack } from './planned-stack.js';
import { halfStandardDof, stackTruth } from './stack-truth.js';

const SIZE = 256;
const plane = Float32Array.from({ length: SIZE * SIZE }, (_, i) => (10 * (i % SIZE + 0.5)) / SIZE);

function stackAt(focus: number[]): PlannedStack {
  return {
    name: 'by-hand', lens: BENCH_LENS, picture: { rows: SIZE, columns: SIZE },
    sensor: { fullWellElectrons: 1, readNoiseElectrons: 0, mosaic: false, sharpening: 0, noiseReductionPx: 0, dust: null, channelGain: [1, 1, 1] },
    scenes: [{ rows: SIZE, columns: SIZE, oversample: 1, groups: [{ depth: plane, light: [plane], cover: null }] }],
    frames: focus.map((z) => ({ scene: 0, gain: 1, pose: { focus: z, scale: 1, turnRad: 0, shiftPx: { row: 0, column: 0 }, shakePx: null } })),
    jpeg: { quality: 90, chromaSubsampling: '4:4:4' }, noiseSeed: 1, faults: {}, opticsKnown: true,
  };
}

describe('stackTruth', () => {
  it('knows the standard: 1.01 λ/NA² where diffraction sets it (optics-reference)', () => {
    expect(2 * halfStandardDof(BENCH_LENS)).toBeCloseTo(1.01, 2);
  });

  it('gives a tilted plane the soft shares of plain geometry', () => {
    const truth = stackTruth(stackAt([7.2, 0, 1, 3.2, 5, 6]), ['a', 'b', 'c', 'd', 'e', 'f']);
    expect(truth.depthOrder).toEqual([1, 2, 3, 4, 5, 0]);
    expect(truth.stepsUm[1] / truth.dofUm).toBeCloseTo(2.2, 9);
    // A plane over 10 units: a step g leaves (g − 1.011)/10 of the picture soft, and 10 − 7.2 − 0.505 of it lies beyond. 1/128: two columns.
    expect(Math.abs(truth.softShare[1] - 0.119)).toBeLessThan(0.009);
    expect(Math.abs(truth.softShare[2] - 0.079)).toBeLessThan(0.009);
    expect(truth.softShare[0]).toBe(0);
    expect(Math.abs(truth.farShare - 0.2295)).toBeLessThan(0.009);
    expect(truth.nearShare).toBe(0);
    expect(truth.open).toBe('far');
    expect(truth.harmful).toEqual([1, 2, 4]);
  });
});
