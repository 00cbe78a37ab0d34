import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { edgeTrust } from '../../src/ladder/edge-trust.js';
import { useLadderKernel } from '../../src/ladder/fast-kernel.js';
import { localEnergy } from '../../src/ladder/local-energy.js';
import { seenDepths } from '../../src/ladder/seen-depths.js';
import { randomFrom } from '../../src/ladder/statistics.js';
import type { TileStack } from '../../src/ladder/tile-stack.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import type { LadderKernel } from '../../src/simd/ladder-kernel.js';
import { builtKernel, byBoth, expectAlike } from '../helpers/plain-and-fast.js';

/** A rough slope with a jump, holes and a part of which nothing is known; neither side a multiple of a block. */
const rows = 41, columns = 53, plan = planMeasurement(rows * 16, columns * 16, 0.42), random = randomFrom(3);
const depth = Float64Array.from({ length: rows * columns }, (_, i) => {
  const r = Math.floor(i / columns), c = i % columns;
  return random() < 0.1 || (r > 30 && c > 40) ? NaN : 0.2 * r + 0.004 * c * c + (c > 25 ? 3 : 0) + 0.3 * random();
});
const known = Int32Array.from(depth, (_, i) => i).filter((i) => !Number.isNaN(depth[i])), some = known.filter((i) => i % 3 !== 0);

let kernel: LadderKernel;
beforeAll(async () => { kernel = await builtKernel(); });
afterEach(() => useLadderKernel(null));

/** The plain code, checked by what is known of planes, bowls and folds elsewhere, is the reference here. */
describe('WebAssembly against the plain code', () => {
  for (const [name, variance, asked] of [['all tiles', 0.01, null], ['some tiles, known and unknown', 0, Int32Array.from(depth, (_, i) => i).filter((i) => i % 2 === 0)]] as const) it(`sees the same depths in ${name}`, () => {
    const { plain, fast } = byBoth(kernel, () => seenDepths(depth, rows, columns, plan, variance, asked));
    for (const field of ['spread', 'bend'] as const) plain[field].forEach((values, b) => expectAlike(fast[field][b], values));
    expectAlike(fast.fold, plain.fold);
    for (const values of [plain.spread[0], plain.bend[2], plain.fold]) expect(Math.max(...values)).toBeGreaterThan(0);
  });

  it('trusts edges alike', () => {
    const { plain, fast } = byBoth(kernel, () => edgeTrust(depth, { gridRows: rows, gridColumns: columns, tilePx: 16, plan } as TileStack, some));
    plain.forEach((values, b) => expectAlike(fast[b], values));
    expect(Math.min(...plain[0])).toBeLessThan(0.2);
  });

  it('finds the same energy around tiles', () => {
    const lnAmplitude = plan.bands.map(() => Float64Array.from(some, () => random()));
    const state = { lnAmplitude, depth: Float64Array.from(some, (t) => depth[t]) }, stack = { gridRows: rows, gridColumns: columns, components: Float64Array.of(12, 10, 9) };
    const { plain, fast } = byBoth(kernel, () => localEnergy(stack, { tile: some }, state));
    plain.energy.forEach((values, b) => expectAlike(fast.energy[b], values));
    expectAlike(fast.chance, plain.chance);
    expect(plain.chance[0]).toBeGreaterThan(0);
  });
});
