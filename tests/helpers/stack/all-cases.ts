import type { PlannedStack } from './planned-stack.js';
import { tripodStack } from './tripod-cases.js';

/** Every kind of stack the renderer knows, by name; the seed decides set-up, texture, noise and steps. */
export const CASES: Record<string, (seed: number) => PlannedStack> = {
  plane: (seed) => tripodStack('plane', seed),
  dome: (seed) => tripodStack('dome', seed),
  ridges: (seed) => tripodStack('ridges', seed),
  relief: (seed) => tripodStack('relief', seed),
};

export function planCase(name: string, seed: number): PlannedStack {
  const make = CASES[name];
  if (!make) throw new Error(`There is no case ${name}. Known: ${Object.keys(CASES).join(', ')}.`);
  return make(seed);
}
