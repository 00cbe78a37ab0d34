import type { Report } from '../../contract/report.js';
import { foldQuietRuns, type FoldedRow } from './fold-quiet-runs.js';
import { ladderRows, type BandRow, type RungRow } from './ladder-rows.js';
import { painted, type TextStyle } from './text-style.js';
import { wrapText } from './wrap-text.js';

type Column = Exclude<keyof RungRow, 'kind'>;
const headings: Record<Column, string> = { frame: 'frame', depth: 'depth', step: 'step', overlap: 'overlap', soft: 'soft', notes: '' };
/** What is left out first where the terminal is narrow. */
const dispensable: readonly Column[] = ['soft', 'depth', 'overlap'];
const GAP = '  ';

/** The ladder in text, camera's side on top: one line a rung, missing bands hatched, harmless ones left open. */
export function ladderText(report: Report, style: TextStyle): string[] {
  const rows = foldQuietRuns(ladderRows(report));
  const rungs = rows.filter((row): row is RungRow => row.kind === 'rung');
  if (rungs.every((rung) => rung.depth === '?')) return [];
  const shown = (Object.keys(headings) as Column[]).filter((column) => rungs.some((rung) => rung[column] !== ''));
  const widths = new Map(shown.map((column) => [column, Math.max(headings[column].length, ...rungs.map((rung) => rung[column].length))]));
  const total = (): number => [...widths.values()].reduce((sum, width) => sum + width + GAP.length, 0);
  for (const column of dispensable) if (total() > style.columns) widths.delete(column);

  const line = (cells: Record<Column, string>): string => [...widths]
    .map(([column, width]) => (column === 'notes' || column === 'frame' ? cells[column].padEnd(width) : cells[column].padStart(width))).join(GAP).trimEnd();
  // Two characters before the columns, which end in a gap: as wide as the widest line of rungs.
  const wide = Math.min(style.columns, Math.max(total(), 64));
  const { top, bottom } = sides(report);
  const dim = (text: string): string[] => wrapText(text, style.columns, GAP).map((one) => painted(one, 'dim', style));
  return [
    ...dim(top),
    painted(`${GAP}${line(headings)}`.trimEnd(), 'dim', style),
    ...rows.flatMap((row) => (row.kind === 'rung' ? [`${GAP}${line(row)}`] : row.kind === 'folded' ? dim(foldedText(row)) : bandText(row, wide, style))),
    ...dim(bottom),
  ];
}

function sides(report: Report): { top: string; bottom: string } {
  const known = report.stack.direction === 'unknown' ? { top: 'one end (the pictures don’t show on which side the camera was)', bottom: 'the other end' } : { top: '▲ camera side', bottom: '▼ far side' };
  const [first, last] = report.ends.map((end) => (end.open === true ? ': the subject goes on beyond' : ''));
  return { top: known.top + first, bottom: known.bottom + last };
}

/** Hatched lines as high as the band is deep, with the figures in the middle; an empty band is left open. */
function bandText(row: BandRow, wide: number, style: TextStyle): string[] {
  const missing = row.kind === 'missing', mark = missing ? '/' : '.', paint = missing ? 'bold' : 'dim';
  const hatch = mark.repeat(4), room = wide - 2 * GAP.length - hatch.length;
  const label = wrapText(row.label, room, '').map((text) => `${hatch} ${text} ${mark.repeat(Math.max(0, room - text.length))}`.trimEnd());
  const around = row.lines - 1, before = Math.floor(around / 2);
  const filler = (count: number): string[] => Array.from({ length: count }, () => (missing ? mark.repeat(wide - GAP.length) : ''));
  return [...filler(before), ...label, ...filler(around - before)].map((text) => (text === '' ? '' : painted(GAP + text, paint, style)));
}

function foldedText(row: FoldedRow): string {
  return `${row.from} … ${row.to}: ${row.frames} frames, every step overlaps`;
}
