import { fieldBase, type FieldBase } from './field-base.js';
import type { PlannedStack } from './planned-stack.js';

// A lens that breathes: its focusing ring slipped or was touched once, and the picture changed size by more than the rail's step explains.

/** From frame `at` on the subject is shown `scale` times as large, while focus goes on by its usual steps. */
export function breathed(seed: number, at: number, scale: number, base: Partial<FieldBase> = {}): PlannedStack {
  const { stack } = fieldBase({ name: 'breathing', seed, ...base });
  stack.frames.forEach(({ pose }, k) => { if (k >= at) pose.scale *= scale; });
  return stack;
}
