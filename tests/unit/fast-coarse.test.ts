import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { randomFrom } from '../../src/ladder/statistics.js';
import { useCoarseKernel } from '../../src/registration/fast-coarse.js';
import { coarseShifts } from '../../src/registration/register-stack.js';
import { loadCoarseKernel, type CoarseKernel } from '../../src/simd/coarse-kernel.js';
import { bothBuilds, builtBytes } from '../helpers/built-kernels.js';

let kernel: CoarseKernel;
const FILES = bothBuilds('coarse');
afterEach(() => useCoarseKernel(null));

/** Whole-pixel moves of one large picture are known exactly; the plain code is the second reference. */
describe.each(FILES)('coarse shifts by the SIMD kernel: %s', (file) => {
  beforeAll(async () => { kernel = await loadCoarseKernel(builtBytes(file, 'that solve')); });

  const EDGE = 300, random = randomFrom(5), whole = Float32Array.from({ length: EDGE * EDGE }, () => random() - 0.5);
  // Smoothed by a running mean of nine, so that there is detail in the low frequencies that are looked at.
  const smooth = whole.map((_, i) => { let sum = 0; for (let r = -4; r <= 4; r++) for (let c = -4; c <= 4; c++) sum += whole[(i + r * EDGE + c + EDGE * EDGE) % (EDGE * EDGE)]; return sum; });
  const moves = [[0, 0], [3, -5], [-12, 7], [20, 20], [0, -31], [1, 0]] as const;
  for (const [rows, columns] of [[96, 128], [130, 75], [40, 200]] as const) it(`finds moves of a picture of ${columns} × ${rows} pixels`, () => {
    const pictures = moves.map(([row, column]) => ({
      rows, columns, pixels: Int16Array.from({ length: rows * columns }, (_, i) => Math.round(2000 * (smooth[(50 + Math.floor(i / columns) - row) * EDGE + 50 + (i % columns) - column] + 0.3 * (random() - 0.5)))),
    }));
    const plain = coarseShifts(pictures, 0);
    useCoarseKernel(kernel);
    const fast = coarseShifts(pictures, 0);
    fast.forEach((shift, k) => expect([shift.row, shift.column]).toEqual([...moves[k]]));
    expect(fast).toEqual(plain);
  });
  it('leaves the work to the plain code where there is no memory, or nothing to go by sixteen in', () => {
    useCoarseKernel({ ...kernel, memory: { buffer: new ArrayBuffer(65536), grow: () => { throw new RangeError('could not grow'); } } });
    const picture = { rows: 64, columns: 64, pixels: Int16Array.from({ length: 64 * 64 }, (_, i) => (i * 7919) % 1000) };
    expect(coarseShifts([picture, picture], 0)[1]).toMatchObject({ row: 0, column: 0 });
    useCoarseKernel(kernel);
    const tiny = { rows: 9, columns: 12, pixels: Int16Array.from({ length: 108 }, (_, i) => (i * 7919) % 1000) };
    expect(coarseShifts([tiny, tiny], 0)[1]).toMatchObject({ row: 0, column: 0 });
  });
});
