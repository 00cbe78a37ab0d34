import type { Decision, Report } from '../../contract/report.js';
import { countText } from './number-text.js';
import { painted, type Paint, type TextStyle } from './text-style.js';
import { wrapText } from './wrap-text.js';

const paints: Record<Decision, Paint> = { keep: 'green', 'top-up': 'yellow', reshoot: 'red', undecided: 'yellow' };

/** The decision in one sentence, for somebody tired with a hand on the rig. */
export function verdictSentence(report: Report): string {
  switch (report.verdict.decision) {
    case 'keep': return 'The rig may come down: every depth of the subject is sharp in some frame.';
    case 'top-up': {
      const missing = report.topUp.reduce((sum, move) => sum + move.frames, 0);
      return `Leave the rig up: ${missing === 0 ? 'frames are' : `${countText(missing, 'frame')} ${missing === 1 ? 'is' : 'are'}`} missing.`;
    }
    case 'reshoot': return 'Shoot this stack again: it can’t be mended by adding frames.';
    case 'undecided': return 'Cannot tell. Leave the rig up.';
  }
}

/** Verdict sentence and its reasons, in lines. */
export function verdictText(report: Report, style: TextStyle): string[] {
  const { decision, reasons } = report.verdict;
  const sentence = wrapText(verdictSentence(report), style.columns).map((line) => painted(painted(line, paints[decision], style), 'bold', style));
  return [...sentence, ...reasons.flatMap((reason) => wrapText(reason, style.columns))];
}
