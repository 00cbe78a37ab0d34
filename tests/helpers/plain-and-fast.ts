import { readFile } from 'node:fs/promises';
import { expect } from 'vitest';
import { useLadderKernel } from '../../src/ladder/fast-kernel.js';
import { loadLadderKernel, type LadderKernel } from '../../src/simd/ladder-kernel.js';

/** The ladder's kernel as the build made it. */
export async function builtKernel(): Promise<LadderKernel> { return loadLadderKernel(await readFile(new URL('../../dist/simd/ladder.wasm', import.meta.url))); }

/** What the plain code finds, and then the kernel, which stays in use. */
export function byBoth<T>(kernel: LadderKernel, find: () => T): { plain: T; fast: T } {
  const plain = find();
  useLadderKernel(kernel);
  return { plain, fast: find() };
}

/** The same arithmetic in the same precision: alike but for the last bit of a power. */
export function expectAlike(fast: ArrayLike<number>, plain: ArrayLike<number>): void {
  expect(fast.length).toBe(plain.length);
  for (let i = 0; i < plain.length; i++) expect(Math.abs(fast[i] - plain[i])).toBeLessThanOrEqual(1e-12 * (1 + Math.abs(plain[i])));
}
