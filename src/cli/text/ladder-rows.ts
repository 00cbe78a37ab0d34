import type { Frame, Report, Step } from '../../contract/report.js';
import { frameLabels } from '../../optics/frame-labels.js';
import { depthText, dofText, measuredText, shareText, withSigma } from '../../optics/number-text.js';

/** One frame of the ladder, as text; `step` and what follows belong to the interval before the frame. */
export interface RungRow { kind: 'rung'; frame: string; depth: string; step: string; overlap: string; soft: string; notes: string }
/** Depth that no frame keeps sharp. */
export interface BandRow { kind: 'missing' | 'empty'; lines: number; label: string }
export type LadderRow = RungRow | BandRow;

/** Softer than this share of the picture, a gap is harmful (contract of the report). */
const HARMFUL_SHARE = 0.005;

/** The rows of the ladder, nearest frame first, with the missing bands between. */
export function ladderRows(report: Report): LadderRow[] {
  const { frames, order } = report.stack;
  const labels = frameLabels(frames.map((frame) => frame.file));
  return order.flatMap((index, k) => {
    const step = k === 0 ? undefined : stepBetween(report, order[k - 1], index);
    const band = step && bandOf(step, report);
    return [...(band ? [band] : []), rungOf(frames[index], labels[index], step, report)];
  });
}

function stepBetween(report: Report, a: number, b: number): Step | undefined {
  return report.steps.find((step) => (step.from === a && step.to === b) || (step.from === b && step.to === a));
}

function rungOf(frame: Frame, label: string, step: Step | undefined, report: Report): RungRow {
  return {
    kind: 'rung', frame: label,
    depth: depthText(frame.positionUm, frame.positionDof, 'ladder'),
    step: step ? stepText(step, report.optics.dofUm.value) : '',
    overlap: step ? overlapText(step) : '',
    soft: step && step.softAreaShare >= 0.0005 ? shareText(step.softAreaShare) : '',
    notes: frame.flags.map((flag) => flag.replace('-', ' ')).join(', '),
  };
}

function stepText(step: Step, dofUm: number | null): string {
  if (step.stepDof === null) return '?';
  const atLeast = step.atLeast ? '≥ ' : '';
  if (step.stepUm === null || dofUm === null) return `${atLeast}${step.sigmaDof === null ? dofText(step.stepDof) : withSigma(dofText(step.stepDof), step.sigmaDof)}`;
  return `${atLeast}${measuredText(step.stepUm, step.sigmaDof === null ? null : step.sigmaDof * dofUm)}`;
}

function overlapText(step: Step): string {
  if (step.grade === 'unmeasured') return 'not known';
  if (step.grade === 'gap' || step.overlap === null) return 'none';
  return `${step.grade === 'thin' ? 'thin ' : ''}${Math.round(100 * step.overlap)} %`;
}

/** A gap drawn to size: a line for each half DOF missing, four at most. */
function bandOf(step: Step, report: Report): BandRow | undefined {
  if (step.grade !== 'gap' || step.stepDof === null) return undefined;
  const missingDof = Math.max(0, step.overlap === null ? step.stepDof - 1 : -step.overlap);
  const dofUm = report.optics.dofUm.value;
  const size = `${step.atLeast ? 'at least ' : ''}${depthText(dofUm === null ? null : missingDof * dofUm, missingDof)} in no frame`;
  const harmful = step.softAreaShare >= HARMFUL_SHARE;
  return {
    kind: harmful ? 'missing' : 'empty',
    lines: Math.min(4, Math.max(1, Math.round(2 * missingDof))),
    label: harmful ? `${size}, ${shareText(step.softAreaShare)} of the picture soft` : `${size}, but nothing lies there: harmless`,
  };
}
