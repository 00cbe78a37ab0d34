import { availableParallelism } from 'node:os';
import { setFlagsFromString } from 'node:v8';

/** On so few processors the engine's compiler, a thread of its own, takes its time from those that measure. */
const FEW_PROCESSORS = 2;
/** How much a function runs before it is compiled well; the engine's own figure is an eighth of it. Most of the work is in WebAssembly, and much of the rest runs once. */
const RUNS_BEFORE = 500_000;

/**
 * Settings of the JavaScript engine, in all threads from now on. A thread that starts after them comes up half as fast, since the engine's kept code of its own
 * modules is of other settings: they are made once the threads are up.
 */
export function setEngine(): void {
  // WebAssembly is compiled once and well: the engine's quick first compiler makes the first frames take twice as long, and there is little to compile.
  setFlagsFromString('--no-liftoff');
  // Less is compiled where compiling would cost more than it gains: a tenth of a check's time on two processors.
  if (availableParallelism() <= FEW_PROCESSORS) setFlagsFromString(`--interrupt-budget=${RUNS_BEFORE}`);
}
