import { median } from '../ladder/statistics.js';

/** The longest pause between two frames, much longer than the others. */
export interface CapturePause {
  /** Frames before and after it, in order of capture. */
  before: number[];
  after: number[];
  seconds: number;
}

/** Shorter pauses are part of shooting; and times are written in whole seconds. */
const LEAST_SECONDS = 60;
const TIMES_USUAL = 6;

/** @param timesMs when each frame was taken; null where the camera wrote nothing, and then nothing is said */
export function capturePause(timesMs: readonly (number | null)[]): CapturePause | null {
  if (timesMs.length < 4 || timesMs.some((t) => t === null)) return null;
  const order = timesMs.map((_, i) => i).sort((a, b) => timesMs[a]! - timesMs[b]! || a - b);
  const gaps = order.slice(1).map((k, i) => (timesMs[k]! - timesMs[order[i]]!) / 1000);
  const at = gaps.indexOf(Math.max(...gaps));
  if (gaps[at] < Math.max(LEAST_SECONDS, TIMES_USUAL * median(gaps))) return null;
  return { before: order.slice(0, at + 1), after: order.slice(at + 1), seconds: gaps[at] };
}

/** 90 → "1.5 minutes"; 5400 → "1.5 hours"; 100 000 → "28 hours". */
export function pauseText(seconds: number): string {
  const [value, unit] = seconds < 5400 ? [seconds / 60, 'minutes'] : [seconds / 3600, 'hours'];
  return `${value < 10 ? value.toFixed(1).replace(/\.0$/, '') : Math.round(value)} ${unit}`;
}
