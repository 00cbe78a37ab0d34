import type { Grade, Report } from '../contract/report.js';
import { depthText } from './number-text.js';

/** Frames shot later that lie between two earlier ones or beyond an end, and what they did there. */
export interface Mended {
  /** Frames on either side, as indices; null beyond an end. */
  after: number | null;
  before: number | null;
  /** The later frames between, near to far. */
  added: number[];
  /** The step as it was without them; null beyond an end. */
  stepWasDof: number | null;
  /** The longest step now. */
  longestNowDof: number | null;
  gradeNow: Grade;
}

/**
 * Frames that stand at another place in the folder than on the depth axis: those not in the longest run that follows the shooting order
 * are taken as shot later. Works from one report, so that nobody has to keep the report from before the top-up.
 *
 * @returns one entry a place, near to far; nothing where the whole order is mixed (more than a third of the frames would be "later")
 */
export function mendedByTopUp(report: Report): Mended[] {
  const { frames, order } = report.stack;
  // Repeats of a depth stand in no order of their own.
  const placed = order.filter((index) => frames[index].positionDof !== null && !frames[index].flags.includes('repeat'));
  const forward = longestRun(placed);
  const backward = longestRun([...placed].reverse());
  const kept = new Set(forward.length >= backward.length ? forward : backward);
  if (placed.length - kept.size > placed.length / 3) return [];
  const mended: Mended[] = [];
  for (let i = 0; i < placed.length;) {
    if (kept.has(placed[i])) { i++; continue; }
    const start = i;
    while (i < placed.length && !kept.has(placed[i])) i++;
    mended.push(entryOf(report, placed[start - 1] ?? null, placed.slice(start, i), placed[i] ?? null));
  }
  return mended;
}

/** Whether the frames shot later left no gap there. */
export const isCovered = ({ gradeNow }: Mended): boolean => gradeNow === 'good' || gradeNow === 'thin';

/** "2 frames shot later close the gap between 0109 and 0110: its step was 46 µm, the longest there is now 15 µm." */
export function mendedText(report: Report, mended: Mended, labels: readonly string[]): string {
  const dofUm = report.optics.dofUm.value;
  const length = (dof: number): string => depthText(dofUm === null ? null : dof * dofUm, dof, 'move');
  const count = mended.added.length;
  if (mended.stepWasDof === null) return `${count} ${count === 1 ? 'frame' : 'frames'} shot later ${count === 1 ? 'continues' : 'continue'} the stack beyond ${labels[mended.after ?? mended.before ?? 0]}.`;
  const closes = isCovered(mended);
  const verb = closes ? (count === 1 ? 'closes' : 'close') : (count === 1 ? 'lies' : 'lie');
  const now = mended.longestNowDof === null ? 'the steps there can’t be measured' : `the longest there is now ${length(mended.longestNowDof)}`;
  return `${count} ${count === 1 ? 'frame' : 'frames'} shot later ${verb} ${closes ? 'the place ' : ''}between ${labels[mended.after ?? 0]} and ${labels[mended.before ?? 0]}: its step was ${length(mended.stepWasDof)}, ${now}.`;
}

function entryOf(report: Report, after: number | null, added: number[], before: number | null): Mended {
  const { frames } = report.stack;
  const run = [after, ...added, before].filter((index) => index !== null);
  const between = report.steps.filter((step) => run.includes(step.from) && run.includes(step.to));
  const known = between.flatMap((step) => (step.stepDof === null ? [] : [step.stepDof]));
  const grades: Grade[] = ['gap', 'unmeasured', 'thin', 'good'];
  return {
    after, before, added,
    stepWasDof: after === null || before === null ? null : Math.abs((frames[before].positionDof ?? 0) - (frames[after].positionDof ?? 0)),
    longestNowDof: known.length < between.length || known.length === 0 ? null : Math.max(...known),
    gradeNow: grades.find((grade) => between.some((step) => step.grade === grade)) ?? 'unmeasured',
  };
}

/** Longest increasing run of file indices, not necessarily next to each other (patience sorting, from memory). */
function longestRun(indices: readonly number[]): number[] {
  const tails: number[] = [];
  const before: (number | null)[] = [];
  indices.forEach((value, i) => {
    let low = 0;
    let high = tails.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (indices[tails[middle]] < value) low = middle + 1; else high = middle;
    }
    before[i] = low > 0 ? tails[low - 1] : null;
    tails[low] = i;
  });
  const run: number[] = [];
  for (let i: number | null = tails.at(-1) ?? null; i !== null; i = before[i]) run.push(indices[i]);
  return run.reverse();
}
