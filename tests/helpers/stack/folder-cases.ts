import { fieldBase, type FieldBase } from './field-base.js';
import type { PlannedStack } from './planned-stack.js';

// Folders that are no plain stack from one place, small enough to be rendered within a test: one function a case.

const PICTURE = { rows: 320, columns: 448 }, FRAMES = 12;
/** Room on the grid for pictures beside one another. */
const WIDE_SCENE = { rows: 440, columns: 960 };

function small(name: string, seed: number, base: Partial<FieldBase> = {}) {
  const made = fieldBase({ name, seed, frames: FRAMES, step: 0.6, gaps: {}, surface: 'relief', picture: PICTURE, lens: { magnification: 5, fNumber: 2.8 }, texture: { kind: 'noise', slope: 1.2, contrast: 0.3 }, ...base });
  made.stack.picture = PICTURE;
  return made;
}

/** Nothing is wrong with it. */
export function plainFolder(seed: number, base: Partial<FieldBase> = {}): PlannedStack { return small('plain', seed, base).stack; }

/** From frame `at` on another subject, its depths starting anew. */
export function otherSubjectFrom(seed: number, at: number): PlannedStack {
  const { stack } = small('other-subject', seed);
  stack.scenes.push(small('beside', seed + 12).stack.scenes[0]);
  stack.frames.slice(at).forEach((frame, k) => { frame.scene = 1; frame.pose = stack.frames[k].pose; });
  return stack;
}

/** One frame of something else. */
export function strangerAt(seed: number, at: number): PlannedStack {
  const { stack } = small('stranger', seed);
  stack.scenes.push(small('beside', seed + 12).stack.scenes[0]);
  stack.frames[at].scene = 1;
  return stack;
}

/** The same depths run through twice, the second time half a step further. */
export function secondPass(seed: number): PlannedStack {
  const { stack } = small('second-pass', seed);
  stack.frames = [...stack.frames, ...stack.frames.map((frame) => ({ ...frame, pose: { ...frame.pose, focus: frame.pose.focus + 0.3 } }))];
  return stack;
}

/** Frames of `are` show the subject `scale` times as large. */
export function scaled(seed: number, scale: number, are: (frame: number) => boolean): PlannedStack {
  const { stack } = small('scaled', seed);
  stack.frames.forEach(({ pose }, k) => { if (are(k)) pose.scale *= scale; });
  return stack;
}

/** The content of frame k stands `move(k)` of the picture's width to the right, within what the scene holds: −0.5 … 0.5. */
export function sideways(seed: number, move: (frame: number) => number): PlannedStack {
  const { stack } = small('sideways', seed, { picture: WIDE_SCENE });
  stack.frames.forEach(({ pose }, k) => { pose.shiftPx = { row: 0, column: move(k) * PICTURE.columns }; });
  return stack;
}

/** Dark specks on the sensor. */
export function speckled(seed: number, base: Partial<FieldBase> = {}, count = 12): PlannedStack {
  const { stack, random } = small('speckled', seed, base), { rows, columns } = PICTURE;
  const dust = new Float32Array(rows * columns).fill(1);
  for (let n = 0; n < count; n++) {
    const row = random.between(10, rows - 10), column = random.between(10, columns - 10), radius = random.between(2, 6);
    for (let r = Math.max(0, Math.floor(row - 2 * radius)); r < Math.min(rows, row + 2 * radius); r++) for (let c = Math.max(0, Math.floor(column - 2 * radius)); c < Math.min(columns, column + 2 * radius); c++) {
      dust[r * columns + c] *= 1 - 0.2 / (1 + Math.exp(2 * (Math.hypot(r - row, c - column) - radius)));
    }
  }
  stack.sensor = { ...stack.sensor, dust };
  return stack;
}
