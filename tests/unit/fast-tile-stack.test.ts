import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { useLadderKernel } from '../../src/ladder/fast-kernel.js';
import { fastUnexposed } from '../../src/ladder/fast-tile-stack.js';
import { plainUnexposed, type TilePlanes } from '../../src/ladder/plain-tile-stack.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import type { LadderKernel } from '../../src/simd/ladder-kernel.js';
import { builtKernel, expectAlike } from '../helpers/plain-and-fast.js';

let kernel: LadderKernel;
beforeAll(async () => { kernel = await builtKernel(); });
afterEach(() => useLadderKernel(null));

const GAINS = [0, 0.2, -0.1, 0.05, 0.31, 0, -0.22];

function planes(gridRows: number, gridColumns: number, frames: number): TilePlanes {
  const random = randomFrom(gridRows + frames), tiles = gridRows * gridColumns;
  const brightness = Float32Array.from({ length: tiles * frames }, (_, i) => Math.sin(Math.floor(i / frames)) + GAINS[i % frames % GAINS.length] + 0.02 * (random() - 0.5) + (random() < 0.02 ? 0.8 : 0));
  return { gridRows, gridColumns, frames, brightness, energy: [0, 1, 2].map(() => Float32Array.from({ length: tiles * frames }, () => random() ** 3)), inside: Uint8Array.from({ length: tiles }, () => (random() < 0.9 ? 1 : 0)) };
}
const copyOf = (some: TilePlanes): TilePlanes => ({ ...some, brightness: some.brightness.slice(), energy: some.energy.map((band) => band.slice()) });

describe('exposure taken out of a stack\'s tiles', () => {
  it.each([[41, 63, 7], [3, 90, 6], [75, 80, 13]])('is the same by the kernel as by the plain code: %i × %i tiles, %i frames', (gridRows, gridColumns, frames) => {
    const forPlain = planes(gridRows, gridColumns, frames), forFast = copyOf(forPlain), trusts = [forPlain, forFast].map((some) => new Float32Array(some.brightness.length));
    const plain = plainUnexposed(forPlain, trusts[0]);
    useLadderKernel(kernel);
    const fast = fastUnexposed(forFast, trusts[1])!;
    expectAlike(fast.light, plain.light);
    expectAlike(fast.gain, plain.gain);
    expect(Math.abs(fast.quiet / plain.quiet - 1)).toBeLessThan(1e-12);
    // Rounded to single precision in both.
    for (const [a, b] of [[forFast.brightness, forPlain.brightness], [trusts[1], trusts[0]], ...forFast.energy.map((band, i) => [band, forPlain.energy[i]] as const)]) a.forEach((v, i) => expect(Math.abs(v - b[i])).toBeLessThanOrEqual(1.2e-7 * (1 + Math.abs(b[i]))));
  });
  it('is what the frames were given, and leaves a tile that sees something else untrusted', () => {
    const some = planes(41, 63, 7), whole = copyOf(some), trust = new Float32Array(some.brightness.length), { gain } = plainUnexposed(some, trust);
    // Gains are told but for one common to all frames; a tile's median is one of its seven values, with noise of up to 0.01 of its own.
    GAINS.forEach((value, k) => expect(Math.abs(gain[k] - gain[0] - (value - GAINS[0]))).toBeLessThan(0.01));
    const ratio = some.energy[1][3] / whole.energy[1][3];
    expect(Math.abs(ratio / Math.exp(-2 * gain[3]) - 1)).toBeLessThan(1e-6);
    some.brightness.forEach((left, i) => { if (Math.abs(left) > 0.5) expect(trust[i]).toBeLessThan(0.01); else if (Math.abs(left) < 0.01) expect(trust[i]).toBeGreaterThan(0.9); });
  });
  it('leaves everything as it is, for the plain code, where a value is not a number', () => {
    const some = planes(41, 63, 7);
    some.brightness[1234] = NaN;
    const before = copyOf(some);
    useLadderKernel(kernel);
    expect(fastUnexposed(some, new Float32Array(some.brightness.length))).toBeNull();
    expect(some).toEqual(before);
  });
});
