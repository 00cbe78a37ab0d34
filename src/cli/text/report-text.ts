import type { Report } from '../../contract/report.js';
import { reportCautions } from '../../optics/cautions.js';
import { topUpMoves, type RailKnowledge } from '../../optics/top-up-moves.js';
import { assumptionText } from './assumption-text.js';
import { findingText } from './finding-text.js';
import { ladderText } from './ladder-text.js';
import { mendedSection } from './mended-section.js';
import { leftOutText } from './left-out-text.js';
import { countText } from '../../optics/number-text.js';
import { durationText } from './duration-text.js';
import { painted, type TextStyle } from './text-style.js';
import { topUpSection } from './top-up-section.js';
import { headlineText, verdictText } from './verdict-text.js';
import { wrapText } from './wrap-text.js';

/**
 * The whole answer for a terminal, in the order a tired person needs it: verdict, ladder, what to do, what it rests on.
 * A pure function of the report, so that any saved report can be shown again.
 */
export function reportText(report: Report, rail: RailKnowledge, style: TextStyle): string {
  const sections: [string | null, string[]][] = [
    [null, verdictText(report, style)],
    ['What the top-up mended', mendedSection(report, style)],
    ['Ladder', ladderText(report, style)],
    ['Frames', leftOutText(report, style)],
    ['What to do', topUpSection(report, rail, style)],
    ['Noticed', findingText(report, style)],
    ['Before you shoot again', reportCautions(report).flatMap((caution) => wrapText(caution, style.columns, '      ', '   !  '))],
    ['What this rests on', assumptionText(report, style)],
    [null, wrapText(closingLine(report), style.columns).map((line) => painted(line, 'dim', style))],
  ];
  const text = sections.filter(([, lines]) => lines.length > 0)
    .map(([heading, lines]) => [...(heading === null ? [] : [painted(heading, 'bold', style)]), ...lines].join('\n'))
    .join('\n\n') + '\n';
  return text.split('\n').length > LINES_SEEN ? `${text}\n${headlineText(report, topUpMoves(report, rail), style).join('\n')}\n` : text;
}

/** Of a longer text a terminal shows the end: the verdict is said there once more. */
const LINES_SEEN = 24;

function closingLine({ stack, timing }: Report): string {
  const cached = timing.cachedFrames ?? 0;
  const known = cached === 0 ? '' : ` ${cached === timing.frames ? 'All' : cached} of them had been measured before and ${cached === 1 ? 'was' : 'were'} not read again.`;
  return `${countText(timing.frames, 'frame')} of ${stack.width} × ${stack.height} pixels, checked in ${durationText(timing.totalMs)}.${known}`;
}
