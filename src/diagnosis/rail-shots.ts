import { median } from '../ladder/statistics.js';

export interface PlacedFrame { index: number; dof: number }

/** Frames that were shot but are not there, by the numbers in the names of those that are. */
export interface MissingShots {
  /** Index of the frame before them. */
  afterFrame: number;
  count: number;
  /** False: the jump there is that of a single move, as if the rail stood still for the missing ones. */
  moved: boolean;
}

export interface RailShots {
  /** Moves of the rail before each placed frame, from 0. */
  shot: number[];
  missing: MissingShots[];
}

/** Numbers count for something where at least this share of neighbours follow each other. */
const REGULAR = 0.7;

/**
 * How often the rail was moved before each placed frame. Frames that can't be placed count, and so do frames that were deleted, where the
 * file names are numbered without a break but for them. The numbers are a hint only: each break must fit the jump in depth.
 *
 * @param files all frames in the order they were shot; @param placed those with a depth, in the same order
 */
export function railShots(files: readonly string[], placed: readonly PlacedFrame[]): RailShots {
  const number = regularNumbers(files);
  const usual = median(placed.slice(1).map(({ dof }, i) => Math.abs(dof - placed[i].dof)));
  const shot: number[] = [], missing: MissingShots[] = [];
  placed.forEach(({ index, dof }, k) => {
    if (k === 0) { shot.push(0); return; }
    const before = placed[k - 1];
    const seen = index - before.index;
    const numbered = number === null ? seen : number[index] - number[before.index];
    const jump = usual > 0 ? Math.abs(dof - before.dof) / usual : 0;
    // A carriage that stands takes up slack: the screw was turned all the same.
    const moved = numbered === seen || jump < 0.5 || jump >= (seen + numbered) / 2;
    if (numbered > seen) missing.push({ afterFrame: before.index, count: numbered - seen, moved });
    shot.push(shot[k - 1] + (moved ? numbered : seen));
  });
  return { shot, missing };
}

/** Numbers in the names, counted in their usual difference; null where the names are not numbered alike, upward and mostly without a break. */
function regularNumbers(files: readonly string[]): number[] | null {
  const parts = files.map((file) => /^(.*?)(\d{1,9})(\D*)$/.exec(file.replace(/\.[^.]+$/, '')));
  const first = parts[0];
  if (!first || parts.length < 3) return null;
  const numbers: number[] = [];
  for (const part of parts) {
    if (!part || part[1] !== first[1] || part[3] !== first[3]) return null;
    numbers.push(Number(part[2]));
  }
  const differences = numbers.slice(1).map((n, i) => n - numbers[i]);
  const usual = median(differences);
  if (!(usual >= 1) || differences.some((d) => d < 1 || d % usual !== 0)) return null;
  if (differences.filter((d) => d === usual).length < REGULAR * differences.length) return null;
  return numbers.map((n) => (n - numbers[0]) / usual);
}
