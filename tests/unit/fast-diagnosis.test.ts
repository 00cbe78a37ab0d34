import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { explainedShare } from '../../src/diagnosis/explained-share.js';
import { fastChangedShares } from '../../src/diagnosis/fast-lasting-change.js';
import { plainChangedShares, type Moment } from '../../src/diagnosis/plain-lasting-change.js';
import type { StackPicture } from '../../src/diagnosis/stack-picture.js';
import { useLadderKernel } from '../../src/ladder/fast-kernel.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import type { LadderKernel } from '../../src/simd/ladder-kernel.js';
import { builtKernel, byBoth } from '../helpers/plain-and-fast.js';

let kernel: LadderKernel;
beforeAll(async () => { kernel = await builtKernel(); });
afterEach(() => useLadderKernel(null));

const { SQRT1_2 } = Math;
const MOMENTS: Moment[] = [
  { frame: [0, 1, 2, 3, 4, 5], step: [-0.25, 0, 0.25, -0.25, 0, 0.25].map((v, i) => v + (i < 3 ? -0.3 : 0.3)), fit: [Array<number>(6).fill(1 / Math.sqrt(6)), [-5, -3, -1, 1, 3, 5].map((v) => v / Math.sqrt(70))], allowed: 0.02 },
  { frame: [6, 2, 4, 1, 5], step: [0.5, -0.5, 0.2, -0.3, 0.1], fit: [Array<number>(5).fill(1 / Math.sqrt(5)), [SQRT1_2, 0, 0, -SQRT1_2, 0]], allowed: 0.15 },
];

describe('what a report asks of every tile', () => {
  it.each([[41, 63], [3, 90], [40, 2]])('changes of blocks’ light are the same by the kernel as by the plain code: %i × %i tiles', (gridRows, gridColumns) => {
    const random = randomFrom(gridRows), frames = 7, tiles = gridRows * gridColumns;
    const stack = { frames, gridRows, gridColumns, inside: Uint8Array.from({ length: tiles }, () => (random() < 0.8 ? 1 : 0)), brightnessChange: Float32Array.from({ length: tiles * frames }, (_, i) => 0.002 * (random() - 0.5) + (i % frames > 2 && Math.floor(i / frames) % gridColumns > gridColumns / 2 ? 0.4 : 0)) };
    const plain = plainChangedShares(stack, MOMENTS);
    useLadderKernel(kernel);
    expect(fastChangedShares(stack, MOMENTS)).toEqual(plain);
    if (gridColumns > 2) expect(plain[0]).toBeGreaterThan(0.1);
    expect(plain[0]).toBeLessThan(1);
  });

  it('the share of change that the curves explain is the same', () => {
    const random = randomFrom(5), count = 211, frames = 9, plane = (of: () => number): Float32Array => Float32Array.from({ length: count * frames }, of), planes = (of: () => number): Float32Array[] => [0, 1, 2].map(() => plane(of));
    const entries = { robust: planes(() => (random() < 0.3 ? 0 : random())), residual: planes(() => random() - 0.5), sigma: planes(() => 0.1 + 0.3 * random()) };
    const picture = {
      stack: { noise: [0, 1, 2].map(() => Float64Array.from({ length: frames }, () => 0.001 + 0.001 * random())) },
      ladder: { tiles: { count, frames, energy: planes(() => random() ** 2), weight: [0, 1, 2].map(() => Float64Array.from({ length: count }, random)) }, trace: { entries }, state: { lnAmplitude: [0, 1, 2].map(() => Float64Array.from({ length: count }, () => random() - 4)) } },
    } as unknown as StackPicture;
    const { plain, fast } = byBoth(kernel, () => explainedShare(picture));
    expect(plain).toBeGreaterThan(0.5);
    expect(plain).toBeLessThan(0.999);
    expect(Math.abs(fast - plain)).toBeLessThan(1e-12);
  });
});
