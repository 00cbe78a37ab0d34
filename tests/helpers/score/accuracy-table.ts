import type { StackScore } from './score-report.js';

/** Lines of the accuracy table: one per case, one for all. */
export function accuracyTable(scores: readonly StackScore[]): string {
  const cases = [...new Set(scores.map(caseOf))];
  const rows = cases.map((name) => line(name, scores.filter((s) => caseOf(s) === name)));
  const head = ['case', 'stacks', 'median', '95th', 'unmeas.', 'gaps', 'missed', 'false', 'flags-', 'flags+', 'order', 'wrong', 'gave up', '1 sigma', '2 sigma'];
  const all = [head, ...rows, line('ALL', scores)];
  const widths = head.map((_, c) => Math.max(...all.map((r) => r[c].length)));
  return all.map((r) => r.map((cell, c) => (c === 0 ? cell.padEnd(widths[c]) : cell.padStart(widths[c]))).join('  ')).join('\n');
}

function caseOf(score: StackScore): string { return score.name.replace(/-\d+$/, ''); }

function line(name: string, scores: readonly StackScore[]): string[] {
  const errors = scores.flatMap((s) => s.stepErrors), pulls = scores.flatMap((s) => s.pulls);
  const sum = (pick: (s: StackScore) => number) => scores.reduce((a, s) => a + pick(s), 0);
  return [name, String(scores.length), percent(quantile(errors, 0.5)), percent(quantile(errors, 0.95)),
    percent(sum((s) => s.unmeasured) / sum((s) => s.intervals)), String(sum((s) => s.gaps)), String(sum((s) => s.gapsMissed)), String(sum((s) => s.falseGaps)),
    String(sum((s) => s.flagsMissed)), String(sum((s) => s.flagsInvented)), String(sum((s) => s.orderWrong)), String(sum((s) => (s.verdictWrong ? 1 : 0))), String(sum((s) => (s.gaveUp ? 1 : 0))),
    percent(pulls.filter((p) => Math.abs(p) <= 1).length / pulls.length), percent(pulls.filter((p) => Math.abs(p) <= 2).length / pulls.length)];
}

export function quantile(values: readonly number[], q: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted.length ? sorted[Math.min(sorted.length - 1, Math.floor(q * sorted.length))] : NaN;
}

function percent(share: number): string { return Number.isFinite(share) ? `${(100 * share).toFixed(1)}%` : '–'; }
