import type { Finding, Report } from '../../contract/report.js';
import { frameLabels } from '../../optics/frame-labels.js';
import { painted, type TextStyle } from './text-style.js';
import { wrapText } from './wrap-text.js';

const order = { fault: 0, warn: 1, info: 2 } as const;
const marks = { fault: '!', warn: '!', info: '-' } as const;

/** What was noticed beside the ladder, the gravest first, each with its remedy. */
export function findingText(report: Report, style: TextStyle): string[] {
  // What the verdict gives as its reasons stands above already, and the top-up is its remedy.
  const more = report.findings.filter((finding) => !report.verdict.reasons.includes(finding.message));
  const sorted = more.sort((a, b) => order[a.severity] - order[b.severity]);
  const labels = frameLabels(report.stack.frames.map((frame) => frame.file));
  return sorted.flatMap((finding) => wrapText(sentence(finding, labels), style.columns, '    ', `  ${marks[finding.severity]} `)
    .map((line) => (finding.severity === 'fault' ? painted(line, 'bold', style) : line)));
}

/** Most frames named before a finding's message. */
const MOST_NAMED = 8;

/** The message with its remedy, led by the frames it is about where it does not name them itself. */
function sentence({ frames, message, remedy }: Finding, labels: readonly string[]): string {
  const names = frames.map((index) => labels[index]).filter((label) => label !== undefined);
  const named = names.length === 0 || names.some((name) => message.includes(name));
  const lead = named ? '' : `${names.slice(0, MOST_NAMED).join(', ')}${names.length > MOST_NAMED ? ` and ${names.length - MOST_NAMED} more` : ''}: `;
  return `${lead}${message}${remedy === undefined ? '' : ` ${remedy}`}`;
}
