import type { Finding } from '../contract/report.js';
import { capturePause, pauseText } from './capture-pause.js';
import { runText } from './run-text.js';

/** A ladder as it was shot. */
export interface ShotLadder {
  /** Frames in file order; position in DOF, null where not placed. */
  position: readonly (number | null)[];
  timesMs: readonly (number | null)[];
  labels: readonly string[];
}

/** Least frames of a pass, and the share of its moves that go its way: frames added afterwards to a gap are no pass. */
const LEAST_FRAMES = 5, STEADY = 0.8;
/** Share of the shorter pass's depths that the other runs through, too. */
const SAME_DEPTHS = 0.6;

/**
 * The same depths run through twice, one pass after the other: two stacks of one subject in a folder, or a second pass meant as one with the
 * first. Found by the pause between them, or where the depths start anew.
 */
export function twoPasses(shot: ShotLadder): Finding | null {
  const { position, labels } = shot, placed = position.flatMap((z, i) => (z === null ? [] : [i]));
  const pause = capturePause(shot.timesMs);
  const split = pause ? { before: pause.before.filter((i) => position[i] !== null), after: pause.after.filter((i) => position[i] !== null) } : atRestart(position, placed);
  if (!split) return null;
  const [first, second] = [split.before, split.after].map((frames) => frames.map((i) => position[i]!));
  if (!isPass(first) || !isPass(second)) return null;
  const low = Math.max(Math.min(...first), Math.min(...second)), high = Math.min(Math.max(...first), Math.max(...second));
  const inBoth = (z: readonly number[]): number => z.filter((v) => v >= low && v <= high).length;
  if (high - low < SAME_DEPTHS * Math.min(span(first), span(second))) return null;
  // Frames that fill a gap lie where the first pass has none.
  if (Math.min(inBoth(first), inBoth(second)) < Math.max(LEAST_FRAMES - 1, 0.5 * Math.max(inBoth(first), inBoth(second)))) return null;
  const names = [split.before, split.after].map((frames) => runText(frames, labels));
  return {
    kind: 'two-passes', severity: 'warn', frames: [split.before[split.before.length - 1], split.after[0]],
    message: `${names[0]} and ${names[1]} run through the same depths one after the other${pause ? `, ${pauseText(pause.seconds)} apart` : ''}. They are judged together, as one stack; if they are two, move ${names[1]} into a folder of their own and check each.`,
  };
}

function isPass(z: readonly number[]): boolean {
  if (z.length < LEAST_FRAMES) return false;
  const forward = z.slice(1).filter((v, i) => v > z[i]).length;
  return Math.max(forward, z.length - 1 - forward) >= STEADY * (z.length - 1);
}

const span = (z: readonly number[]): number => Math.max(...z) - Math.min(...z);

/** Where the depths jump farthest from one frame to the next: by more than half of all of them, or nothing starts anew. */
function atRestart(position: readonly (number | null)[], placed: readonly number[]): { before: number[]; after: number[] } | null {
  let at = 0, jump = 0;
  for (let i = 1; i < placed.length; i++) {
    const here = Math.abs(position[placed[i]]! - position[placed[i - 1]]!);
    if (here > jump) { jump = here; at = i; }
  }
  return jump > 0.5 * span(placed.map((i) => position[i]!)) ? { before: placed.slice(0, at), after: placed.slice(at) } : null;
}
