import { availableParallelism } from 'node:os';
import { setFlagsFromString } from 'node:v8';

/** On so few processors the engine's compiler, a thread of its own, takes its time from those that measure. */
const FEW_PROCESSORS = 2;
/** How much a function runs before it is compiled well; the engine's own figure is an eighth of it. Most of the work is in WebAssembly, and much of the rest runs once. */
const RUNS_BEFORE = 500_000;

/** WebAssembly of one function that multiplies and adds in one step (relaxed SIMD, f32x4.relaxed_madd). */
const FUSED = Uint8Array.of(0, 97, 115, 109, 1, 0, 0, 0, 1, 8, 1, 96, 3, 123, 123, 123, 1, 123, 3, 2, 1, 0, 10, 13, 1, 11, 0, 32, 0, 32, 1, 32, 2, 253, 133, 2, 11);

/**
 * Settings of the JavaScript engine, in all threads from now on. A thread that starts after them comes up half as fast, since the engine's kept code of its own
 * modules is of other settings: they are made once the threads are up.
 *
 * @param kernels what WebAssembly is compiled next. Those that measure go over every pixel of the first frame already: they are compiled once and well. Most of those
 *   that solve run once, over all tiles: for them the engine's quick compiler does, and what runs long is compiled well beside it
 */
export function setEngine(kernels: 'that measure' | 'that solve'): void {
  setFlagsFromString(kernels === 'that measure' ? '--no-liftoff' : '--liftoff');
  // All of it at once, beside what else is done: function by function, each would be waited for where it is called first, and compiled twice where two threads come to it together.
  setFlagsFromString('--no-wasm-lazy-compilation');
  // An engine of before 2023 (Node 20's) knows it, and wants to be told.
  if (!WebAssembly.validate(FUSED)) setFlagsFromString('--experimental-wasm-relaxed-simd');
  // Less is compiled where compiling would cost more than it gains: a tenth of a check's time on two processors.
  if (availableParallelism() <= FEW_PROCESSORS) setFlagsFromString(`--interrupt-budget=${RUNS_BEFORE}`);
}
