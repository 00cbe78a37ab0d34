import type { Report } from '../../src/contract/report.js';
import { frameLabels } from '../../src/optics/frame-labels.js';
import { countText } from '../../src/optics/number-text.js';
import { dof, um } from './numbers.js';

/**
 * The steps so far in a sentence or two: what an even hand has done up to here, what can't be read, the places to go back to, and the gaps that need not be gone back for.
 *
 * @param harmless indices of the steps known to be gaps without surface; every other gap counts
 */
export function soFar(report: Report, harmless: ReadonlySet<number>): string {
  const labels = frameLabels(report.stack.frames.map((frame) => frame.file));
  return [evenWords(report), unreadWords(report, labels), gapWords(report, labels, harmless), harmlessWords(report, labels, harmless)].filter((part) => part !== '').join(' ');
}

/** Whether these words may send somebody back to a place: then the room in front of the lens is to be minded. */
export const sendsBack = (report: Report, harmless: ReadonlySet<number>): boolean => report.steps.some((step, i) => step.grade === 'gap' && !harmless.has(i)) || report.stack.frames.some((frame) => frame.flags.includes('unreadable'));

function evenWords({ steps, optics }: Report): string {
  const good = steps.filter((step) => step.grade === 'good' && step.stepDof !== null), dofUm = optics.dofUm.value;
  if (good.length < 2) return '';
  const lengths = good.map((step) => step.stepDof ?? 0).sort((a, b) => a - b), middle = lengths[Math.floor(lengths.length / 2)];
  return `${good.length} of ${steps.length} steps are good, ${dofUm === null ? dof(middle) : um(middle * dofUm)} as a rule.`;
}

function unreadWords(report: Report, labels: readonly string[]): string {
  const unread = labels.filter((_, i) => report.stack.frames[i].flags.includes('unreadable'));
  if (unread.length === 0) return '';
  const named = unread.length > 2 ? `${countText(unread.length, 'frame')}, the last ${unread[unread.length - 1]},` : unread.join(' and ');
  return `${named} can’t be read: copy ${unread.length === 1 ? 'it' : 'them'} anew, or shoot again.`;
}

function gapWords(report: Report, labels: readonly string[], harmless: ReadonlySet<number>): string {
  const gaps = report.steps.filter((step, i) => step.grade === 'gap' && !harmless.has(i));
  if (gaps.length === 0) return '';
  const named = gaps.slice(-2).map((step) => `${labels[step.from]} and ${labels[step.to]}`).join(', ');
  return `${gaps.length === 1 ? 'One gap' : `${gaps.length} gaps`} so far${gaps.length > 2 ? ', the last' : ''}: between ${named}.`;
}

function harmlessWords(report: Report, labels: readonly string[], harmless: ReadonlySet<number>): string {
  const gaps = report.steps.filter((_, i) => harmless.has(i)), last = gaps.at(-1);
  if (last === undefined) return '';
  const between = `between ${labels[last.from]} and ${labels[last.to]}`;
  return gaps.length === 1 ? `No surface lies in the gap ${between}: it is harmless.` : `No surface lies in ${gaps.length} gaps, the last ${between}: they are harmless.`;
}
