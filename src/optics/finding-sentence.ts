import type { Finding, Report } from '../contract/report.js';

const GRAVITY = { fault: 0, warn: 1, info: 2 } as const;
/** Most frames named before a finding's message. */
const MOST_NAMED = 8;

/** What was noticed beside the verdict's own reasons (their remedy is the top-up), the gravest first. */
export function otherFindings({ findings, verdict }: Report): Finding[] {
  return findings.filter((finding) => !verdict.reasons.includes(finding.message)).sort((a, b) => GRAVITY[a.severity] - GRAVITY[b.severity]);
}

/** The message with its remedy, led by the frames it is about where it does not name them itself. */
export function findingSentence({ frames, message, remedy }: Finding, labels: readonly string[]): string {
  const names = frames.map((index) => labels[index]).filter((label) => label !== undefined);
  const named = names.length === 0 || names.some((name) => message.includes(name));
  const lead = named ? '' : `${names.slice(0, MOST_NAMED).join(', ')}${names.length > MOST_NAMED ? ` and ${names.length - MOST_NAMED} more` : ''}: `;
  return `${lead}${message}${remedy === undefined ? '' : ` ${remedy}`}`;
}
