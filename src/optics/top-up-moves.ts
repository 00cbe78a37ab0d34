import type { Report, TopUp } from '../contract/report.js';
import { CARE_CAUTION, ONE_SIDE_ADVICE, clearanceCautions } from './cautions.js';
import { frameLabels } from './frame-labels.js';
import { moveWords, type MoveWords } from './move-words.js';

/** What is known of the rail at the moment of topping up. */
export interface RailKnowledge {
  /** Travel of one rail unit, or null: lengths are then said in µm and in the stack's own steps. */
  railUnitUm: number | null;
  /** Front of the lens to the subject's nearest point with the nearest frame in focus, or null. */
  workingDistanceMm: number | null;
}

export interface TopUpMove {
  kind: 'find' | 'back-off' | 'shoot';
  /** One instruction, without its number. */
  text: string;
  /** Way from the place before, in DOF and µm, positive towards the subject (unknown sign where the stack's direction is). */
  moveDof: number;
  moveUm: number | null;
}

export interface TopUpGuide {
  heading: string;
  /** In the order to be carried out. */
  moves: TopUpMove[];
  cautions: string[];
}

/** Twice the largest slack of a manual rail (5–50 µm: common practice, no source). */
const BACK_OFF_UM = 100;
/** Where µm are unknown: enough steps to take up slack on any rail that made a stack. */
const BACK_OFF_DOF = 4;

/**
 * The top-up as moves of this rail, each frame approached from the side from which the stack was shot, so that slack does not matter.
 * It starts from the frame shot last, where the camera still stands.
 *
 * @param report a finished report
 * @returns no moves where nothing is to be added, or adding does not help; the clearance caution comes first where there are any
 */
export function topUpMoves(report: Report, rail: RailKnowledge): TopUpGuide {
  const shots = shotsOf(report);
  // A stack to be shot anew is not added to: moves beside that verdict would say the opposite.
  if (shots.length === 0 || report.verdict.decision === 'reshoot') return { heading: 'Nothing to add.', moves: [], cautions: [] };
  const words = moveWords(report, rail.railUnitUm);
  const labels = frameLabels(report.stack.frames.map((frame) => frame.file));
  const forward = shootingSense(report);
  shots.sort((a, b) => forward * (a.dof - b.dof));
  const moves: TopUpMove[] = [];
  const here = standingFrame(report);
  let hereDof = here === null ? 0 : report.stack.frames[here]?.positionDof ?? 0;
  if (here !== null) moves.push({ kind: 'find', text: `Start where the camera stands now, at frame ${labels[here]}. If it has been moved, focus as in that frame first.`, moveDof: 0, moveUm: 0 });
  const backOffDof = words.dofUm === null ? BACK_OFF_DOF : BACK_OFF_UM / words.dofUm;
  shots.forEach((shot, index) => {
    const way = shot.dof - hereDof;
    // Onwards in the shooting sense the slack is already taken up; the first frame, and every way back, needs a run-up.
    if (index === 0 || way * forward < 0) {
      const toRunUp = way - forward * backOffDof;
      // Already far enough back: one move forward does it.
      if (toRunUp * forward < 0) {
        moves.push({ kind: 'back-off', text: `Move ${words.way(toRunUp)}. That is ${words.length(backOffDof)} further than needed, to take up the slack.`, moveDof: toRunUp, moveUm: words.um(toRunUp) });
        hereDof += words.rounded(toRunUp);
      }
    }
    const step = shot.dof - hereDof;
    moves.push({ kind: 'shoot', text: `Move ${words.way(step)} and shoot frame ${index + 1} of ${shots.length}${shots[index - 1]?.plan === shot.plan ? '' : ` (${placeText(shot.plan, labels)})`}.`, moveDof: step, moveUm: words.um(step) });
    // Each length is said rounded; counting on from what was said keeps the roundings from adding up.
    hereDof += words.rounded(step);
  });
  return { heading: headingOf(shots, labels), moves, cautions: cautionsFor(report, rail, shots, words) };
}

/** The guide as numbered lines, for a terminal or the clipboard. */
export function topUpText(guide: TopUpGuide): string {
  const lines = guide.moves.map((move, i) => `${String(i + 1).padStart(2)}. ${move.text}`);
  return [guide.heading, ...lines, ...guide.cautions.map((caution) => `Caution: ${caution}`)].join('\n');
}

interface Shot { dof: number; plan: TopUp }

function shotsOf(report: Report): Shot[] {
  return report.topUp.flatMap((plan) => plan.positionsDof.map((dof) => ({ dof, plan })));
}

/** +1 where the stack was shot with growing positions, −1 against; without a clear sense backwards, away from the subject. */
function shootingSense(report: Report): 1 | -1 {
  if (report.stack.direction === 'near-first') return 1;
  if (report.stack.direction === 'far-first' || report.stack.direction === 'mixed') return -1;
  const placed = report.stack.frames.map((frame) => frame.positionDof).filter((dof) => dof !== null);
  return placed.length > 1 && (placed[placed.length - 1] ?? 0) > (placed[0] ?? 0) ? 1 : -1;
}

/** The frame shot last that has a place. */
function standingFrame(report: Report): number | null {
  for (let i = report.stack.frames.length - 1; i >= 0; i--) if (report.stack.frames[i]?.positionDof != null) return i;
  return null;
}

function placeText(plan: TopUp, labels: readonly string[]): string {
  if (plan.after !== null && plan.before !== null) return `between ${labels[plan.after]} and ${labels[plan.before]}`;
  if (plan.after !== null) return `beyond ${labels[plan.after]}`;
  return plan.before === null ? 'at the end of the stack' : `before ${labels[plan.before]}`;
}

function headingOf(shots: readonly Shot[], labels: readonly string[]): string {
  const plans = [...new Set(shots.map((shot) => shot.plan))];
  const add = `Add ${shots.length} ${shots.length === 1 ? 'frame' : 'frames'}`;
  if (plans.length === 1) return `${add} ${placeText(plans[0], labels)}.`;
  return `${add}: ${plans.map((plan) => `${plan.positionsDof.length} ${placeText(plan, labels)}`).join(', ')}.`;
}

function cautionsFor(report: Report, rail: RailKnowledge, shots: readonly Shot[], words: MoveWords): string[] {
  const deepest = Math.max(...shots.map((shot) => shot.dof), ...report.stack.frames.map((frame) => frame.positionDof ?? 0));
  // The working distance holds at the nearest frame; run-ups may go in a little further than the deepest frame.
  const travelUm = words.um(deepest);
  const cautions = clearanceCautions((travelUm ?? 0) + (shootingSense(report) < 0 ? BACK_OFF_UM : 0), travelUm === null ? null : rail.workingDistanceMm);
  return [...cautions, ONE_SIDE_ADVICE, CARE_CAUTION];
}
