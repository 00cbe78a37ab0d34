import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { useLadderKernel } from '../ladder/fast-kernel.js';
import { useCoarseKernel } from '../registration/fast-coarse.js';
import { useRegistrationKernel } from '../registration/fast-windows.js';
import { loadCoarseKernel } from '../simd/coarse-kernel.js';
import { loadLadderKernel } from '../simd/ladder-kernel.js';
import { loadRegistrationKernel } from '../simd/registration-kernel.js';
import { setEngine } from './engine-settings.js';

const require = createRequire(import.meta.url);

/**
 * Lets this thread's registrations and solves run in SIMD WebAssembly; where the platform lacks it, they run as plain code.
 *
 * @param threadsUp resolves once the threads are up that are coming up
 */
export async function startKernels(threadsUp: Promise<void> = Promise.resolve()): Promise<void> {
  await threadsUp;
  setEngine('that solve');
  const file = async <Kernel>(name: string, by: (bytes: Uint8Array) => Promise<Kernel>): Promise<Kernel> => by(await readFile(require.resolve(`#kernel/${name}.wasm`)));
  // Fused where the engine has it, as in frame-worker.ts.
  const load = <Kernel>(name: string, by: (bytes: Uint8Array) => Promise<Kernel>): Promise<Kernel | null> => file(`${name}-fused`, by).catch(() => file(name, by)).catch(() => null);
  const [ladder, registration, coarse] = await Promise.all([load('ladder', loadLadderKernel), file('register', loadRegistrationKernel).catch(() => null), load('coarse', loadCoarseKernel)]);
  useLadderKernel(ladder);
  useRegistrationKernel(registration);
  useCoarseKernel(coarse);
}
