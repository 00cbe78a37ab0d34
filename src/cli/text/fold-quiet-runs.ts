import type { LadderRow, RungRow } from './ladder-rows.js';

/** Stands for a run of frames with nothing to say about. */
export interface FoldedRow { kind: 'folded'; from: string; to: string; frames: number }

/** Ladders up to this many rows are shown whole. */
const LONG = 48;
/** Quiet frames kept around anything worth a look. */
const AROUND = 2;
const LEAST_FOLDED = 4;

/** In long stacks, folds runs of frames that overlap well and carry no flag, so that what matters fits on a screen. */
export function foldQuietRuns(rows: readonly LadderRow[]): (LadderRow | FoldedRow)[] {
  if (rows.length <= LONG) return [...rows];
  const keep = rows.map(() => false);
  rows.forEach((row, i) => {
    if (isQuiet(row) && i !== 0 && i !== rows.length - 1) return;
    keep.fill(true, Math.max(0, i - AROUND), i + AROUND + 1);
  });
  const folded: (LadderRow | FoldedRow)[] = [];
  for (let i = 0; i < rows.length;) {
    let end = i;
    while (end < rows.length && !keep[end]) end++;
    if (end - i >= LEAST_FOLDED) folded.push(fold(rows.slice(i, end) as RungRow[]));
    else folded.push(...rows.slice(i, end));
    if (end < rows.length) folded.push(rows[end]);
    i = end + 1;
  }
  return folded;
}

const isQuiet = (row: LadderRow): boolean => row.kind === 'rung' && row.notes === '' && /^\d+ %$/.test(row.overlap);

function fold(run: RungRow[]): FoldedRow {
  return { kind: 'folded', from: run[0].frame, to: run[run.length - 1].frame, frames: run.length };
}
