import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { useLadderKernel } from '../../src/ladder/fast-kernel.js';
import { focusCurve } from '../../src/ladder/focus-curve.js';
import { ladderUnit } from '../../src/ladder/ladder-unit.js';
import { fastSquares } from '../../src/ladder/fast-focus-curve.js';
import { DEFOCUS_COUNT, otfTable, plainSquares } from '../../src/ladder/otf-table.js';
import { sharpenSpectrum } from '../../src/ladder/sharpen-spectrum.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import type { TileStack } from '../../src/ladder/tile-stack.js';
import { fastLeakage, plainLeakage, RADII } from '../../src/ladder/window-leakage.js';
import { powerInFocus } from '../../src/ladder/windows-in-focus.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import type { LadderKernel } from '../../src/simd/ladder-kernel.js';
import { builtKernel, byBoth, expectAlike } from '../helpers/plain-and-fast.js';

const rows = 640, columns = 800, gridRows = 40, gridColumns = 50, plan = planMeasurement(rows, columns, 0.42), random = randomFrom(9);

let kernel: LadderKernel;
beforeAll(async () => { kernel = await builtKernel(); });
afterEach(() => useLadderKernel(null));

/** As expectAlike; what is not known to one is not known to the other. */
function expectAlikeWhereKnown(fast: ArrayLike<number>, plain: ArrayLike<number>): void {
  const known = Array.from(plain, (_, i) => i).filter((i) => !Number.isNaN(plain[i])), some = (values: ArrayLike<number>): number[] => known.map((i) => values[i]);
  expect(Array.from(fast, Number.isNaN)).toEqual(Array.from(plain, Number.isNaN));
  expectAlike(some(fast), some(plain));
}

/** The plain code, checked against integrals and rendered textures elsewhere, is the reference here. */
describe('WebAssembly against the plain code', () => {
  const texture = Float64Array.from(otfTable(ladderUnit(plan)).s, () => 0.5 + random());
  for (const [name, of] of [['a power law', null], ['lines', texture]] as const) it(`makes the same focus curves of ${name}`, () => {
    const { plain, fast } = byBoth(kernel, () => focusCurve(plan, 1, 1.2, of));
    for (const field of ['energy', 'slope', 'kinship'] as const) expectAlike(fast[field], plain[field]);
    expect(fast.reach).toBe(plain.reach);
    expect(Math.abs(fast.inFocus / plain.inFocus - 1)).toBeLessThan(1e-12);
  });

  it('tabulates the same squares of transfer functions', () => {
    const nodes = 64, lines = 112, shares = Float64Array.from({ length: lines * nodes }, () => random() / nodes), twices = shares.map(() => 2 * Math.cos(0.4 * random()));
    useLadderKernel(kernel);
    // 601 steps multiply the last bit of a cosine some thousandfold.
    const fast = fastSquares(shares, twices, lines, DEFOCUS_COUNT)!, plain = plainSquares(shares, twices);
    expect(fast.length).toBe(plain.length);
    fast.forEach((v, i) => expect(Math.abs(v - plain[i])).toBeLessThan(1e-12));
  });

  it('says the same of what a window leaks', () => {
    const offsets = Float64Array.from({ length: 25 }, (_, i) => i / 4 - 3), power = offsets.map((x) => 1 / (1 + x ** 4) + 0.1 * random());
    useLadderKernel(kernel);
    const fast = fastLeakage(offsets, power)!;
    plainLeakage(offsets, power).forEach((line, bin) => expectAlike(fast[bin], line));
  });

  it('sharpens a spectrum alike', () => {
    const law = Float64Array.from({ length: RADII }, (_, r) => 1 / (1 + r) ** 2), used = Array.from({ length: 16 }, (_, i) => i !== 7 && i < 14);
    const { plain, fast } = byBoth(kernel, () => sharpenSpectrum(Array.from({ length: 16 }, (_, i) => (i === 7 ? NaN : (1 + 0.5 * (i % 3)) / (1 + 8 * i) ** 2)), used, law));
    expectAlike(fast, plain);
    expect(Math.max(...plain)).toBeGreaterThan(1.1);
  });

  it('adds up the same windows in focus, of frames that are moved, turned and scaled', () => {
    const frames = 5, windows = 60, bins = 16, z = [0, 0.7, 1.5, 2.1, 3];
    const depth = Float64Array.from({ length: gridRows * gridColumns }, (_, i) => (random() < 0.2 ? NaN : 0.07 * Math.floor(i / gridColumns) + 0.1 * random()));
    const places = (size: number): Float32Array => Float32Array.from({ length: windows }, () => size * random());
    const ofLevel = (level: number): unknown => ({ sizePx: 32, bins, row: places(rows / 2 ** level), column: places(columns / 2 ** level), power: null });
    const first = Array.from({ length: 4 }, (_, level) => ofLevel(level) as object);
    const spectra = z.map(() => first.map((level) => ({ ...level, power: Float32Array.from({ length: windows * bins }, (_, i) => (1 + random()) / (1 + (i % bins)) ** 2) })));
    const stack = {
      plan, frames, rows, columns, tilePx: 16, gridRows, gridColumns, spectra, gain: Float64Array.from(z, (_, k) => 0.02 * k), noise: [Float64Array.from(z, (_, k) => 1e-3 * (1 + k))],
      transforms: z.map((_, k) => ({ row: 5 * k, column: -3 * k, turn: 0.01 * k, lnScale: 0.005 * k })),
    } as unknown as TileStack;
    const { plain, fast } = byBoth(kernel, () => plan.bands.map((_, b) => powerInFocus(stack, b, depth, z)));
    plain.forEach((power, b) => { expect(power).not.toBeNull(); expectAlikeWhereKnown(fast[b]!, power!); });
    expect(plain[0]!.some((v) => v > 0)).toBe(true);
  });
});
