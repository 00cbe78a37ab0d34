import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { setFlagsFromString } from 'node:v8';
import { useLadderKernel } from '../ladder/fast-kernel.js';
import { useRegistrationKernel } from '../registration/fast-windows.js';
import { loadLadderKernel } from '../simd/ladder-kernel.js';
import { loadRegistrationKernel } from '../simd/registration-kernel.js';

const require = createRequire(import.meta.url);

/** Lets this thread's registrations and solves run in SIMD WebAssembly; where the platform lacks it, they run as plain code. */
export async function startKernels(): Promise<void> {
  // Compiled once and well: there is little to compile, and it is done while the frames are read.
  setFlagsFromString('--no-liftoff');
  const [ladder, registration] = await Promise.all([
    readFile(require.resolve('#ladder-kernel')).then(loadLadderKernel).catch(() => null),
    readFile(require.resolve('#registration-kernel')).then(loadRegistrationKernel).catch(() => null),
  ]);
  useLadderKernel(ladder);
  useRegistrationKernel(registration);
}
