import type { PlannedFrame, PlannedStack } from './planned-stack.js';
import { fieldBase, type FieldBase } from './field-base.js';

// What the camera or the person behind it does to a stack: one function a case.

const HANDHELD_PICTURE = { rows: 800, columns: 800 }; // room on the grid for drift

/** Drift, turn and uneven steps of a stack shot without a tripod; `shuffle` also mixes the frames. */
export function handheld(seed: number, shuffle: boolean): PlannedStack {
  const { stack, random } = fieldBase({ name: shuffle ? 'shuffled' : 'handheld', seed, picture: HANDHELD_PICTURE, frames: 22, step: 0.5, gaps: seed % 2 ? { 9: 2 } : {} });
  let row = 0, column = 0, turn = 0, slack = 0;
  const [first, last] = [stack.frames[0].pose.focus, stack.frames[stack.frames.length - 1].pose.focus];
  for (const { pose } of stack.frames) {
    row = clamp(row + 7 * random.normal(), 45);
    column = clamp(column + 7 * random.normal(), 45);
    turn = clamp(turn + 0.0025 * random.normal(), 0.012);
    pose.shiftPx = { row, column };
    pose.turnRad = turn;
    // Uneven steps, kept in order and within the ends.
    slack = pose.focus === first || pose.focus === last ? 0 : random.between(-0.17, 0.17);
    pose.focus += slack;
  }
  if (shuffle) stack.frames = random.shuffle(stack.frames.length).map((i) => stack.frames[i]);
  stack.faults = { handheld: true };
  return stack;
}

/** Two or three frames shot afterwards fill the gap; they stand at the end of the folder. */
export function toppedUp(seed: number): PlannedStack {
  const { stack, positions } = fieldBase({ name: 'topped-up', seed, frames: 20, step: 0.6, gaps: {} });
  const missing = [7, 8, 9].slice(0, 2 + (seed % 2));
  stack.frames = [...stack.frames.filter((_, i) => !missing.includes(i)), ...missing.map((i) => stack.frames[i])];
  if (positions.length !== stack.frames.length) throw new Error('frames lost');
  return stack;
}

export function farFirst(seed: number): PlannedStack {
  const { stack } = fieldBase({ name: 'far-first', seed });
  stack.frames.reverse();
  return stack;
}

/** The rail's slack: the first three frames stand almost still. */
export function repeats(seed: number): PlannedStack {
  const { stack } = fieldBase({ name: 'repeats', seed, gaps: { 0: 0.03, 1: 0.02 } });
  stack.faults = { redundant: [0, 1] };
  return stack;
}

export function bumped(seed: number): PlannedStack {
  const { stack, random } = fieldBase({ name: 'bumped', seed, picture: HANDHELD_PICTURE });
  const at = random.whole(6, 12), angle = random.between(0, 2 * Math.PI), size = random.between(9, 30);
  stack.frames.slice(at).forEach(({ pose }) => { pose.shiftPx = { row: size * Math.sin(angle), column: size * Math.cos(angle) }; });
  stack.faults = { bump: at };
  return stack;
}

/** One frame smeared during the exposure. */
export function shaken(seed: number): PlannedStack {
  const { stack, random } = fieldBase({ name: 'shaken', seed, gaps: {} });
  const at = random.whole(4, 14), angle = random.between(0, Math.PI), size = random.between(4, 7);
  stack.frames[at].pose.shakePx = { row: size * Math.sin(angle), column: size * Math.cos(angle) };
  stack.faults = { blurred: [at] };
  return stack;
}

/** Flash output that wanders by a few hundredths of a stop, and once fails to recycle. */
export function wanderingFlash(seed: number): PlannedStack {
  const { stack, random } = fieldBase({ name: 'flash', seed });
  const at = random.whole(4, 14);
  stack.frames.forEach((frame, i) => { frame.gain = 2 ** (i === at ? -0.35 : 0.03 * random.normal()); });
  stack.faults = { exposure: [at] };
  return stack;
}

/** Steps and noise as usual; only the file or the camera's processing differs. */
export function processed(name: string, seed: number, change: (stack: PlannedStack) => void, base: Partial<FieldBase> = {}): PlannedStack {
  const { stack } = fieldBase({ name, seed, ...base });
  change(stack);
  return stack;
}

/** Dark and bright specks in the same place in every frame. */
export function dusty(seed: number): PlannedStack {
  const { stack, random } = fieldBase({ name: 'dusty', seed });
  const { rows, columns } = stack.picture;
  const dust = new Float32Array(rows * columns).fill(1);
  for (let n = 0; n < 60; n++) {
    const row = random.between(0, rows), column = random.between(0, columns), radius = random.between(2, 9), dark = random.between(0.05, 0.35);
    for (let r = Math.max(0, Math.floor(row - 2 * radius)); r < Math.min(rows, row + 2 * radius); r++) {
      for (let c = Math.max(0, Math.floor(column - 2 * radius)); c < Math.min(columns, column + 2 * radius); c++) {
        dust[r * columns + c] *= 1 - dark / (1 + Math.exp(2 * (Math.hypot(r - row, c - column) - radius)));
      }
    }
  }
  stack.sensor = { ...stack.sensor, dust };
  return stack;
}

/** Nothing to measure, or nothing measured: no confident verdict may come out. */
export function hopeless(kind: 'blank' | 'all-shaken' | 'copies' | 'one-depth', seed: number): PlannedStack {
  const { stack, random } = fieldBase({ name: kind, seed, gaps: {}, frames: kind === 'copies' ? 30 : 12,
    ...(kind === 'blank' ? { texture: { kind: 'noise', contrast: 0 } } : {}), ...(kind === 'one-depth' ? { surface: 'flat', beyond: [3.5, 3.5] } : {}) });
  if (kind === 'all-shaken') stack.frames.forEach(({ pose }) => { pose.shakePx = { row: random.between(8, 14), column: random.between(-14, 14) }; });
  if (kind === 'copies') {
    const first: PlannedFrame = stack.frames[0];
    stack.frames = stack.frames.map(() => first);
  }
  stack.faults = { accept: kind === 'all-shaken' ? ['undecided', 'reshoot'] : ['undecided'] };
  return stack;
}

function clamp(v: number, limit: number): number { return Math.max(-limit, Math.min(limit, v)); }
