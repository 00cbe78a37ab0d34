import type { Report } from '../../contract/report.js';
import { isClearance } from '../../optics/cautions.js';
import { topUpMoves, type RailKnowledge } from '../../optics/top-up-moves.js';
import { painted, type TextStyle } from './text-style.js';
import { wrapText } from './wrap-text.js';

/** The missing frames as numbered moves of the rail, with the caution that belongs to every move towards a subject. */
export function topUpSection(report: Report, rail: RailKnowledge, style: TextStyle): string[] {
  const guide = topUpMoves(report, rail);
  if (guide.moves.length === 0) return [];
  const caution = (text: string): string[] => wrapText(text, style.columns, '      ', '   !  ');
  return [
    ...wrapText(guide.heading, style.columns, '  ').map((line) => painted(line, 'bold', style)),
    // What concerns the room before the lens is read before the first move is made.
    ...guide.cautions.filter(isClearance).flatMap(caution),
    ...guide.moves.flatMap((move, i) => wrapText(move.text, style.columns, '      ', `  ${String(i + 1).padStart(2)}. `)),
    ...guide.cautions.filter((text) => !isClearance(text)).flatMap(caution),
  ];
}
