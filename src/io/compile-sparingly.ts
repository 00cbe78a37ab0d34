import { availableParallelism } from 'node:os';
import { setFlagsFromString } from 'node:v8';

/** On so few processors the engine's compiler, a thread of its own, takes its time from those that measure. */
const FEW_PROCESSORS = 2;
/** How much a function runs before it is compiled well; the engine's own figure is an eighth of it. Most of the work is in WebAssembly, and much of the rest runs once. */
const RUNS_BEFORE = 500_000;

/** Lets less be compiled, in all threads from now on, where compiling would cost more than it gains: a tenth of a check's time on two processors. */
export function compileSparingly(): void {
  if (availableParallelism() <= FEW_PROCESSORS) setFlagsFromString(`--interrupt-budget=${RUNS_BEFORE}`);
}
