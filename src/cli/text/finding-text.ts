import type { Report } from '../../contract/report.js';
import { findingSentence, otherFindings } from '../../optics/finding-sentence.js';
import { frameLabels } from '../../optics/frame-labels.js';
import { painted, type TextStyle } from './text-style.js';
import { wrapText } from './wrap-text.js';

const marks = { fault: '!', warn: '!', info: '-' } as const;

/** What was noticed beside the ladder, the gravest first, each with its remedy. */
export function findingText(report: Report, style: TextStyle): string[] {
  const labels = frameLabels(report.stack.frames.map((frame) => frame.file));
  return otherFindings(report).flatMap((finding) => wrapText(findingSentence(finding, labels), style.columns, '    ', `  ${marks[finding.severity]} `)
    .map((line) => (finding.severity === 'fault' ? painted(line, 'bold', style) : line)));
}
