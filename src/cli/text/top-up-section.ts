import type { Report } from '../../contract/report.js';
import { topUpMoves, type RailKnowledge } from '../../optics/top-up-moves.js';
import { painted, type TextStyle } from './text-style.js';
import { wrapText } from './wrap-text.js';

/** The missing frames as numbered moves of the rail, with the caution that belongs to every move towards a subject. */
export function topUpSection(report: Report, rail: RailKnowledge, style: TextStyle): string[] {
  const guide = topUpMoves(report, rail);
  if (guide.moves.length === 0) return [];
  return [
    ...wrapText(guide.heading, style.columns, '  ').map((line) => painted(line, 'bold', style)),
    ...guide.moves.flatMap((move, i) => wrapText(move.text, style.columns, '      ', `  ${String(i + 1).padStart(2)}. `)),
    ...guide.cautions.flatMap((caution) => wrapText(caution, style.columns, '      ', '   !  ')),
  ];
}
