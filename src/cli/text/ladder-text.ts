import type { Report } from '../../contract/report.js';
import { foldQuietRuns, type FoldedRow } from './fold-quiet-runs.js';
import { ladderRows, type BandRow, type RungRow } from './ladder-rows.js';
import { painted, type TextStyle } from './text-style.js';

type Column = Exclude<keyof RungRow, 'kind'>;
const headings: Record<Column, string> = { frame: 'frame', depth: 'depth', step: 'step', overlap: 'overlap', soft: 'soft', notes: '' };
/** What is left out first where the terminal is narrow. */
const dispensable: readonly Column[] = ['soft', 'depth', 'overlap'];
const GAP = '  ';

/** The ladder in text, camera's side on top: one line a rung, missing bands hatched, harmless ones left open. */
export function ladderText(report: Report, style: TextStyle): string[] {
  const rows = foldQuietRuns(ladderRows(report));
  const rungs = rows.filter((row): row is RungRow => row.kind === 'rung');
  if (rungs.length === 0) return [];
  const shown = (Object.keys(headings) as Column[]).filter((column) => rungs.some((rung) => rung[column] !== ''));
  const widths = new Map(shown.map((column) => [column, Math.max(headings[column].length, ...rungs.map((rung) => rung[column].length))]));
  const total = (): number => [...widths.values()].reduce((sum, width) => sum + width + GAP.length, 0);
  for (const column of dispensable) if (total() > style.columns) widths.delete(column);

  const line = (cells: Record<Column, string>): string => [...widths]
    .map(([column, width]) => (column === 'notes' || column === 'frame' ? cells[column].padEnd(width) : cells[column].padStart(width))).join(GAP).trimEnd();
  const wide = Math.min(style.columns, Math.max(total(), 60));
  const { top, bottom } = sides(report);
  return [
    painted(`${GAP}${top}`, 'dim', style),
    painted(`${GAP}${line(headings)}`, 'dim', style),
    ...rows.flatMap((row) => (row.kind === 'rung' ? [`${GAP}${line(row)}`] : row.kind === 'folded' ? [foldedText(row, style)] : bandText(row, wide, style))),
    painted(`${GAP}${bottom}`, 'dim', style),
  ].map((text) => text.trimEnd());
}

function sides(report: Report): { top: string; bottom: string } {
  const known = report.stack.direction === 'unknown' ? { top: 'one end (the pictures don’t show on which side the camera was)', bottom: 'the other end' } : { top: '▲ camera side', bottom: '▼ far side' };
  const [first, last] = report.ends.map((end) => (end.open === true ? ': the subject goes on beyond' : ''));
  return { top: known.top + first, bottom: known.bottom + last };
}

/** Hatched lines as high as the band is deep; the figures stand in the middle one. */
function bandText(row: BandRow, wide: number, style: TextStyle): string[] {
  const mark = row.kind === 'missing' ? '/' : '.';
  const plain = mark.repeat(Math.max(0, wide - GAP.length));
  const label = ` ${row.label} `;
  const before = 4, after = Math.max(2, plain.length - before - label.length);
  const middle = Math.floor((row.lines - 1) / 2);
  return Array.from({ length: row.lines }, (_, i) => {
    const text = i === middle ? mark.repeat(before) + label + mark.repeat(after) : plain;
    return GAP + (row.kind === 'missing' ? painted(text, 'bold', style) : painted(row.kind === 'empty' && i !== middle ? '' : text, 'dim', style));
  });
}

function foldedText(row: FoldedRow, style: TextStyle): string {
  return painted(`${GAP}${row.from} … ${row.to}: ${row.frames} frames, every step overlaps`, 'dim', style);
}
