import type { Report } from '../../contract/report.js';
import { painted, type TextStyle } from './text-style.js';
import { wrapText } from './wrap-text.js';

const order = { fault: 0, warn: 1, info: 2 } as const;
const marks = { fault: '!', warn: '!', info: '-' } as const;

/** What was noticed beside the ladder, the gravest first, each with its remedy. */
export function findingText(report: Report, style: TextStyle): string[] {
  const sorted = [...report.findings].sort((a, b) => order[a.severity] - order[b.severity]);
  return sorted.flatMap(({ severity, message, remedy }) => wrapText(remedy === undefined ? message : `${message} ${remedy}`, style.columns, '    ', `  ${marks[severity]} `)
    .map((line) => (severity === 'fault' ? painted(line, 'bold', style) : line)));
}
