import type { Report, Step } from '../../src/contract/report.js';
import { verdictHeadline } from '../../src/optics/verdict-headline.js';
import { harmfulGaps, harmlessGaps, HARMFUL_OPEN_SHARE } from '../state/report-reading.js';
import { capital } from './capital.js';
import { countOf, dof, percent, um } from './numbers.js';
import { sentence, type Piece } from './rich-text.js';

export interface VerdictWords { headline: string; detail: Piece[] }

/** The verdict as a headline that says what to do with the rig, and a sentence with its figures. */
export function verdictWords(report: Report, labels: readonly string[]): VerdictWords {
  const { decision, reasons } = report.verdict;
  const detail = decision === 'keep' ? keepDetail(report, labels) : decision === 'top-up' ? missingDetail(report, labels) : [{ text: fewReasons(reasons) }];
  return { headline: verdictHeadline(report), detail };
}

/** The first reason is the one to act on; a dozen would push the picture out of the window. */
const MOST_REASONS = 3;
function fewReasons(reasons: readonly string[]): string {
  const left = reasons.length - MOST_REASONS;
  return left <= 1 ? reasons.join(' ') : `${reasons.slice(0, MOST_REASONS).join(' ')} ${capital(countOf(left, 'more reason'))} are in the report that Save… writes.`;
}

function keepDetail(report: Report, labels: readonly string[]): Piece[] {
  const longest = longestStep(report.steps.filter((step) => step.surfaceShare > 0 && (step.grade === 'good' || step.grade === 'thin')));
  const empty = harmlessGaps(report).length;
  return [
    ...sentence`All ${report.stack.frames.length} frames were looked at and every step that matters overlaps`,
    ...(longest ? sentence`; the longest, ${labels[longest.from]} to ${labels[longest.to]}, is ${stepSize(longest)}` : []),
    { text: `. ${endsInWords(report)}` },
    ...(empty > 0 ? [{ text: ` ${capital(countOf(empty, 'longer step', 'longer steps'))} ${empty === 1 ? 'lies' : 'lie'} where there is no surface, and ${empty === 1 ? 'does' : 'do'} no harm.` }] : []),
  ];
}

function missingDetail(report: Report, labels: readonly string[]): Piece[] {
  const gaps = harmfulGaps(report);
  const pieces: Piece[] = [];
  const worst = gaps[0];
  if (worst) {
    const planned = report.topUp.find((entry) => entry.after === worst.from && entry.before === worst.to);
    pieces.push(...(planned
      ? sentence`Add ${countOf(planned.frames, 'frame')} between ${labels[worst.from]} and ${labels[worst.to]}: the step there is ${stepSize(worst)}, and ${percent(worst.softAreaShare)} of the picture lies soft.`
      : sentence`Between ${labels[worst.from]} and ${labels[worst.to]} the step is ${stepSize(worst)}, and ${percent(worst.softAreaShare)} of the picture lies soft.`));
    if (gaps.length > 1) pieces.push({ text: ` ${capital(countOf(gaps.length - 1, 'more gap is', 'more gaps are'))} listed under Top-up.` });
  }
  for (const [i, end] of report.ends.entries()) {
    if (!end.open || end.areaShare < HARMFUL_OPEN_SHARE) continue;
    const { order } = report.stack;
    pieces.push(...sentence`${pieces.length > 0 ? ' ' : ''}The subject goes on beyond ${labels[order[i === 0 ? 0 : order.length - 1]]} at the ${endName(end.side)} end: ${percent(end.areaShare)} of the picture lies there.`);
  }
  return pieces.length > 0 ? pieces : [{ text: report.verdict.reasons.join(' ') }];
}

/** "46 µm, 1.85 × DOF", or the DOF figure alone where optics are unknown. */
export function stepSize(step: Step): string {
  if (step.stepDof === null) return 'not measured';
  const times = `${step.stepDof.toFixed(2)} × DOF`;
  const size = step.stepUm === null ? times : `${um(step.stepUm)}, ${times}`;
  return step.atLeast ? `at least ${size}` : size;
}

/** What is known of the ends: an end nobody could judge is not called closed. */
function endsInWords(report: Report): string {
  const untold = report.ends.filter((end) => end.open === null).map((end) => end.side);
  if (untold.length > 0) return `Whether the subject goes on beyond the ${untold.join(' and the ')} end could not be told.`;
  const open = report.ends.filter((end) => end.open).map((end) => `${percent(end.areaShare)} of the picture lies beyond the ${end.side} end`);
  return open.length > 0 ? `${capital(open.join(', '))}: too little to matter.` : 'Both ends are closed.';
}

const longestStep = (steps: Step[]): Step | null => steps.reduce<Step | null>((best, s) => (s.stepDof !== null && s.stepDof > (best?.stepDof ?? 0) ? s : best), null);
const endName = (side: Report['ends'][0]['side']): string => side;

/** Figures beside the verdict. */
export function verdictFigures(report: Report): { value: string; unit: string }[] {
  const sigmas = report.steps.map((s) => s.sigmaDof).filter((s): s is number => s !== null).sort((a, b) => a - b);
  const { medianStepDof, medianStepUm } = report.rail;
  // Under an unknown lens the steps are off together by more than each by itself.
  const sigma = sigmas.length > 0 ? Math.hypot(sigmas[Math.floor(sigmas.length / 2)], (report.scaleSigma ?? 0) * (medianStepDof ?? 0)) : null;
  const dofUm = report.optics.dofUm.value;
  return [
    { value: String(report.stack.frames.length), unit: 'frames' },
    { value: medianStepUm !== null ? um(medianStepUm) : dof(medianStepDof), unit: 'usual step' },
    ...(dofUm !== null ? [{ value: um(dofUm), unit: 'depth of field' }] : []),
    ...(sigma !== null ? [{ value: `±${dofUm !== null ? um(sigma * dofUm) : dof(sigma)}`, unit: 'per step' }] : []),
  ];
}
