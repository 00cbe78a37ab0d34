import type { PlannedStack } from './planned-stack.js';
import { ledgesStack } from './ledges-cases.js';
import { tripodStack } from './tripod-cases.js';

export interface StackCase {
  table: 'tripod' | 'field';
  /** File in this folder that defines it. */
  definedIn: string;
  seeds: number[];
  plan: (seed: number) => PlannedStack;
}

const seeds = (first: number, count: number) => Array.from({ length: count }, (_, k) => first + k);
const tripod = (surface: 'plane' | 'dome' | 'ridges' | 'relief', first: number): StackCase =>
  ({ table: 'tripod', definedIn: 'tripod-cases.ts', seeds: seeds(first, 9), plan: (seed) => tripodStack(surface, seed) });

/** Every kind of stack the renderer knows, by name; the seed decides set-up, texture, noise and steps. */
export const CASES: Record<string, StackCase> = {
  plane: tripod('plane', 100),
  dome: tripod('dome', 200),
  ridges: tripod('ridges', 300),
  relief: tripod('relief', 400),
  ledges: { table: 'tripod', definedIn: 'ledges-cases.ts', seeds: seeds(500, 9), plan: ledgesStack },
};

export function planCase(name: string, seed: number): PlannedStack {
  const found = CASES[name];
  if (!found) throw new Error(`There is no case ${name}. Known: ${Object.keys(CASES).join(', ')}.`);
  return found.plan(seed);
}
