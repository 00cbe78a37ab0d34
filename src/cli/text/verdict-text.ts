import type { Decision, Report } from '../../contract/report.js';
import type { TopUpGuide } from '../../optics/top-up-moves.js';
import { verdictHeadline } from '../../optics/verdict-headline.js';
import { painted, type Paint, type TextStyle } from './text-style.js';
import { wrapText } from './wrap-text.js';

const paints: Record<Decision, Paint> = { keep: 'green', 'top-up': 'yellow', reshoot: 'red', undecided: 'yellow' };

/** Verdict sentence and its reasons, in lines. */
export function verdictText(report: Report, style: TextStyle): string[] {
  return [...sentence(verdictHeadline(report), report, style), ...report.verdict.reasons.flatMap((reason) => wrapText(reason, style.columns))];
}

/** The verdict in a sentence or two, with which frames are missing where. */
export function headlineText(report: Report, { moves, heading }: TopUpGuide, style: TextStyle): string[] {
  return sentence(moves.length > 0 ? `${verdictHeadline(report)} ${heading}` : verdictHeadline(report), report, style);
}

function sentence(text: string, { verdict }: Report, style: TextStyle): string[] {
  return wrapText(text, style.columns).map((line) => painted(painted(line, paints[verdict.decision], style), 'bold', style));
}
