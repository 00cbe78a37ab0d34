import type { Decision, Report } from '../../contract/report.js';
import { verdictHeadline } from '../../optics/verdict-headline.js';
import { painted, type Paint, type TextStyle } from './text-style.js';
import { wrapText } from './wrap-text.js';

const paints: Record<Decision, Paint> = { keep: 'green', 'top-up': 'yellow', reshoot: 'red', undecided: 'yellow' };

/** Verdict sentence and its reasons, in lines. */
export function verdictText(report: Report, style: TextStyle): string[] {
  const { decision, reasons } = report.verdict;
  const sentence = wrapText(verdictHeadline(report), style.columns).map((line) => painted(painted(line, paints[decision], style), 'bold', style));
  return [...sentence, ...reasons.flatMap((reason) => wrapText(reason, style.columns))];
}
