import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { setFlagsFromString } from 'node:v8';
import { useLadderKernel } from '../ladder/fast-kernel.js';
import { loadLadderKernel } from '../simd/ladder-kernel.js';

/** Lets this thread's solves run in SIMD WebAssembly; where the platform lacks it, they run as plain code. */
export async function startLadderKernel(): Promise<void> {
  // Compiled once and well: there is little to compile, and it is done while the frames are read.
  setFlagsFromString('--no-liftoff');
  try {
    useLadderKernel(await loadLadderKernel(await readFile(createRequire(import.meta.url).resolve('#ladder-kernel'))));
  } catch {
    useLadderKernel(null);
  }
}
