import type { Report } from '../../contract/report.js';

/** The ladder so far without frames that were deleted or renamed meanwhile. */
export function withoutGone(report: Report, present: readonly string[]): Report {
  const stays = report.stack.frames.map((frame) => present.includes(frame.file));
  if (stays.every(Boolean)) return report;
  const renumbered = new Map<number, number>();
  stays.forEach((stay, i) => { if (stay) renumbered.set(i, renumbered.size); });
  const order = report.stack.order.filter((i) => stays[i]).map((i) => renumbered.get(i) ?? 0);
  const steps = report.steps.filter((step) => stays[step.from] && stays[step.to]).map((step) => ({ ...step, from: renumbered.get(step.from) ?? 0, to: renumbered.get(step.to) ?? 0 }));
  return { ...report, stack: { ...report.stack, frames: report.stack.frames.filter((_, i) => stays[i]), order }, steps };
}
