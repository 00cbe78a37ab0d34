import { readFile } from 'node:fs/promises';
import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { randomFrom } from '../../src/ladder/statistics.js';
import { plainRobustFit } from '../../src/registration/fit-similarity.js';
import { fastRobustFit, fastShifts, useRegistrationKernel } from '../../src/registration/fast-windows.js';
import { placeWindows } from '../../src/registration/placed-windows.js';
import { plainShifts, type RegistrationFrame } from '../../src/registration/plain-shifts.js';
import { registerPair } from '../../src/registration/register-pair.js';
import { IDENTITY, type Similarity } from '../../src/registration/similarity.js';
import { loadRegistrationKernel, type RegistrationKernel } from '../../src/simd/registration-kernel.js';

const ROWS = 150, COLUMNS = 211;
const random = randomFrom(31);

/** Noise of several sizes with a little of its own: phases of every quality. */
function frame(moved: number): RegistrationFrame {
  const pixels = new Int16Array(ROWS * COLUMNS);
  for (let r = 0, i = 0; r < ROWS; r++) for (let c = 0; c < COLUMNS; c++, i++) {
    pixels[i] = 6000 * Math.sin(0.31 * r + 0.17 * (c - moved)) * Math.cos(0.05 * (c - moved) - 0.4 * r) + 5000 * Math.sin(0.9 * (c - moved)) * Math.cos(0.62 * r + 0.002 * r * c) + 3000 * (random() - 0.5);
  }
  return { rows: ROWS, columns: COLUMNS, pixels, spectra: new Map() };
}

let kernel: RegistrationKernel;
beforeAll(async () => { kernel = await loadRegistrationKernel(await readFile(new URL('../../dist/simd/register.wasm', import.meta.url))); });
afterEach(() => useRegistrationKernel(null));

/** The plain TypeScript registration, held to OpenCV and to a reference transform elsewhere, is the reference here. */
describe('SIMD registration against the plain one', () => {
  const frames = Array.from({ length: 7 }, (_, k) => frame(0.7 * k));
  const predictions: [string, Similarity, boolean][] = [
    ['in place', IDENTITY, false], ['at a start of its own', { ...IDENTITY, row: 3, column: -5 }, false],
    ['following turn, growth and fractions', { row: 0.37, column: -1.62, turn: 0.004, lnScale: 0.006 }, true],
  ];
  it.each(predictions)('finds the same displacements %s', (_, predicted, follow) => {
    useRegistrationKernel(kernel);
    for (let k = 1; k < frames.length; k++) {
      const windows = placeWindows(frames[k - 1], frames[k], predicted), plain = plainShifts(frames[k - 1], frames[k], windows, follow), fast = fastShifts(frames[k - 1], frames[k], windows, follow)!;
      expect(windows.row.length).toBeGreaterThan(20);
      // Single precision against double: phases agree to some 1e-6 of a turn, weights to as much; three rounds of robust weights multiply that.
      plain.row.forEach((row, i) => {
        expect(Math.abs(fast.row[i] - row)).toBeLessThan(2e-4);
        expect(Math.abs(fast.column[i] - plain.column[i])).toBeLessThan(2e-4);
        expect(Math.abs(fast.coherence[i] - plain.coherence[i])).toBeLessThan(1e-5);
      });
    }
  });
  it('fits the same similarity to a pair, whichever pictures it held before', () => {
    const pairs = [[0, 1], [0, 2], [1, 2], [4, 6], [3, 5], [0, 6], [1, 2]] as const, plain = pairs.map(([a, b]) => registerPair(frames[a], frames[b], [IDENTITY]));
    useRegistrationKernel(kernel);
    pairs.forEach(([a, b], i) => {
      const fast = registerPair(frames[a], frames[b], [IDENTITY])!.similarity, { similarity } = plain[i]!;
      // A hundredth of a pair's stated precision of 0.02 px.
      expect(Math.hypot(fast.row - similarity.row, fast.column - similarity.column)).toBeLessThan(2e-4);
      expect((Math.abs(fast.turn - similarity.turn) + Math.abs(fast.lnScale - similarity.lnScale)) * COLUMNS / 2).toBeLessThan(2e-4);
    });
  });
  it('fits displacements by the same arithmetic', () => {
    useRegistrationKernel(kernel);
    for (const count of [6, 25]) {
      const some = (scale: number): number[] => Array.from({ length: count }, () => scale * (random() - 0.5)), y = some(400), x = some(600);
      const shifts = { dRow: some(1).map((v, i) => 0.4 + 0.002 * x[i] + (i % 5 ? 0.1 : 6) * v), dColumn: some(1).map((v, i) => -0.003 * x[i] + 0.1 * v), weight: some(1).map((v) => v + 0.5) };
      // It stands in memory that the pictures' layout has set aside.
      fastShifts(frames[0], frames[1], placeWindows(frames[0], frames[1], IDENTITY), false);
      const plain = plainRobustFit(y, x, shifts), fast = fastRobustFit(y, x, shifts)!;
      // The same operations in double precision, in another order at most.
      for (const [key, value] of Object.entries(plain)) [value].flat().forEach((v: number, i) => expect(Math.abs(([fast[key as keyof typeof fast]].flat() as number[])[i] - v)).toBeLessThan(1e-9 * (1 + Math.abs(v))));
    }
  });
  it('leaves the work to the plain code where the platform grants no memory', () => {
    useRegistrationKernel({ ...kernel, memory: { buffer: new ArrayBuffer(65536), grow: () => { throw new RangeError('could not grow'); } } });
    expect(fastShifts(frames[0], frames[1], placeWindows(frames[0], frames[1], IDENTITY), false)).toBeNull();
    expect(registerPair(frames[0], frames[1], [IDENTITY])).not.toBeNull();
  });
});
