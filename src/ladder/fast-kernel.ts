import { Arena } from '../simd/filters.js';
import type { LadderKernel } from '../simd/ladder-kernel.js';

export interface FastKernel { kernel: LadderKernel; arena: Arena }

/** Values of one of a stack's planes (tile × frame), at most, that are copied to the kernel: of more, the plain code is compiled soon enough, and needs no second copy. */
export const MOST_COPIED = 2 ** 21;

let used: FastKernel | null = null;

/** Lets this thread's solves run by the SIMD kernel; null: by the plain code, which gives the same numbers slower. */
export function useLadderKernel(kernel: LadderKernel | null): void { used = kernel && { kernel, arena: new Arena(kernel) }; }

/**
 * Runs by the kernel, with all of its memory to take from. What is handed back must not point into that memory once another run begins.
 *
 * @returns null where there is no kernel, or the platform grants it too little memory
 */
export function withKernel<T>(run: (fast: FastKernel) => T): T | null {
  if (!used) return null;
  used.arena.reset();
  try {
    return run(used);
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}
