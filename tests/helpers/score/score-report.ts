import path from 'node:path';
import type { Frame, Report, Step } from '../../../src/contract/report.js';
import type { StackTruth } from '../stack/stack-truth.js';

// Longer than a page: one judgement, read from top to bottom.

/** How a report stands against the truth. Steps in λ/NA². */
export interface StackScore {
  name: string;
  decision: string;
  /** Relative errors of measured steps between 0.15 and 3, gaps with nothing in them apart. */
  stepErrors: number[];
  /** (measured − true) / sigma of the same steps and of the vague ones. */
  pulls: number[];
  intervals: number;
  /** Graded unmeasured, or with a sigma above a quarter of the step. */
  unmeasured: number;
  gaps: number;
  gapsMissed: number;
  falseGaps: number;
  flagsMissed: number;
  flagsInvented: number;
  orderWrong: number;
  /** A verdict the truth contradicts. */
  verdictWrong: boolean;
  /** Undecided where the truth would allow a verdict: not wrong, but no help either. */
  gaveUp: boolean;
  problems: string[];
}

const GAP = 1.15, FINE = 0.85, HARMFUL = 0.005, HARMLESS = 0.002, VAGUE = 0.25;

/**
 * What counts as right: gaps over 1.15 that leave half a percent of the picture soft must be graded so with their soft area
 * within a factor three; steps below 0.85 must not; ends, flags and the verdict must follow from the truth.
 */
export function scoreReport(report: Report, truth: StackTruth): StackScore {
  const idOf = new Map(report.stack.frames.map((f, i) => [path.basename(f.file), i]));
  const ids = truth.frames.map((f) => idOf.get(f)!);
  const frames = ids.map((i) => report.stack.frames[i]);
  const order = truth.depthOrder, undecided = report.verdict.decision === 'undecided';
  const score: StackScore = { name: truth.name, decision: report.verdict.decision, stepErrors: [], pulls: [], intervals: 0, unmeasured: 0,
    gaps: 0, gapsMissed: 0, falseGaps: 0, flagsMissed: 0, flagsInvented: 0, orderWrong: 0, verdictWrong: false, gaveUp: false, problems: [] };
  const trueSteps = truth.stepsUm.map((s) => s / truth.dofUm);
  const place = frames.map((f) => (f.positionUm !== null && truth.magnification ? f.positionUm / truth.dofUm : f.positionDof));
  const along = (place[order[order.length - 1]] ?? 0) - (place[order[0]] ?? 0);
  const sign = along < 0 ? -1 : 1;
  if (!undecided) {
    if (sign < 0 && (report.stack.direction === 'near-first' || report.stack.direction === 'far-first')) score.problems.push('near and far are swapped');
    const scale = truth.magnification ? 1 : scaleOf(place, order, trueSteps, sign);
    const rows = new Map(report.steps.map((s) => [`${s.from},${s.to}`, s]));
    trueSteps.forEach((step, k) => {
      const a = order[k], b = order[k + 1];
      const row = rows.get(`${ids[a]},${ids[b]}`) ?? rows.get(`${ids[b]},${ids[a]}`);
      const pa = place[a], pb = place[b];
      scoreStep(score, truth, k, step, pa === null || pb === null ? NaN : (sign * (pb - pa)) / scale, scale, row);
    });
    scoreOrder(score, truth, place, sign);
    scoreEnds(score, report, truth, sign);
    scoreFlags(score, frames, truth);
  }
  const expected = expectedVerdicts(truth, trueSteps);
  const unexpected = !expected.includes(report.verdict.decision);
  score.verdictWrong = unexpected && !undecided;
  score.gaveUp = unexpected && undecided;
  if (unexpected) score.problems.push(`verdict ${report.verdict.decision} for ${expected.join(' or ')}`);
  return score;
}

function scaleOf(place: (number | null)[], order: number[], trueSteps: number[], sign: number): number {
  const ratios = trueSteps.map((s, k) => (sign * ((place[order[k + 1]] ?? NaN) - (place[order[k]] ?? NaN))) / s).filter((r) => r > 0).sort((x, y) => x - y);
  return ratios.length ? ratios[ratios.length >> 1] : 1;
}

function scoreStep(score: StackScore, truth: StackTruth, k: number, step: number, size: number, scale: number, row: Step | undefined): void {
  const soft = truth.softShare[k], after = `${truth.frames[truth.depthOrder[k]]} (${step.toFixed(2)})`;
  const harmless = soft < HARMLESS, isGap = step > GAP && soft >= HARMFUL;
  score.intervals++;
  const unmeasured = !row || row.grade === 'unmeasured';
  const vague = row?.sigmaDof != null && row.sigmaDof > VAGUE * Math.abs(size * scale);
  if (unmeasured || vague) score.unmeasured++;
  const counted = step >= 0.15 && step <= 3 && !(harmless && step > 1);
  if (!unmeasured && counted && Number.isFinite(size)) {
    if (!vague) score.stepErrors.push(Math.abs(size / step - 1));
    if (row.sigmaDof && !row.atLeast) score.pulls.push((size - step) / (row.sigmaDof / scale));
  }
  if (isGap) {
    score.gaps++;
    if (row?.grade !== 'gap' || !(row.softAreaShare > 0)) { score.gapsMissed++; score.problems.push(`gap after ${after} missed: ${row?.grade ?? 'not listed'} ${size.toFixed(2)}`); }
    else if (!(row.softAreaShare > soft / 3 && row.softAreaShare < soft * 3)) score.problems.push(`soft area after ${after}: ${row.softAreaShare.toFixed(3)} for ${soft.toFixed(3)}`);
  }
  if (row?.grade !== 'gap') return;
  if (step < FINE) { score.falseGaps++; score.problems.push(`false gap after ${after}: ${size.toFixed(2)}`); }
  if (harmless && row.softAreaShare >= 0.01) score.problems.push(`nothing lies in the gap after ${after}, yet soft area ${row.softAreaShare.toFixed(3)}`);
}

/** Pairs of frames more than 0.15 apart that come out the wrong way round. */
function scoreOrder(score: StackScore, truth: StackTruth, place: (number | null)[], sign: number): void {
  const z = truth.positionsUm.map((p) => p / truth.dofUm);
  for (let i = 0; i < z.length; i++) for (let j = 0; j < z.length; j++) {
    const a = place[i], b = place[j];
    if (z[j] - z[i] > 0.15 && a !== null && b !== null && sign * (b - a) <= 0) score.orderWrong++;
  }
  if (score.orderWrong > 0) score.problems.push(`${score.orderWrong} pairs of frames in wrong order`);
}

function scoreEnds(score: StackScore, report: Report, truth: StackTruth, sign: number): void {
  const open = report.ends.map((e) => e.open);
  if (sign < 0) open.reverse();
  for (const [k, side, share] of [[0, 'near', truth.nearShare], [1, 'far', truth.farShare]] as const) {
    if (share > 0.02 && open[k] !== true) score.problems.push(`open ${side} end missed (${share.toFixed(3)})`);
    if (share < HARMLESS && open[k] === true) score.problems.push(`${side} end called open`);
  }
}

function scoreFlags(score: StackScore, frames: Frame[], truth: StackTruth): void {
  const flagged = (flag: Frame['flags'][number]) => frames.flatMap((f, i) => (f.flags.includes(flag) ? [i] : []));
  const compare = (word: string, found: number[], wanted: number[], slack = 0) => {
    const missed = wanted.filter((i) => !found.includes(i)), invented = found.filter((i) => !wanted.includes(i));
    score.flagsMissed += Math.max(0, missed.length - slack);
    score.flagsInvented += invented.length;
    if (missed.length > slack) score.problems.push(`${word} missed: ${missed}`);
    if (invented.length) score.problems.push(`${word} invented: ${invented}`);
  };
  compare('blurred', flagged('blurred'), truth.blurred ?? []);
  // Which of two frames is the repeat is a matter of taste: judge by how close each is to another frame.
  const z = truth.positionsUm.map((p) => p / truth.dofUm);
  const isRepeat = z.map((p, i) => z.some((q, j) => j !== i && Math.abs(p - q) < 0.2));
  compare('repeats', flagged('repeat').filter((i) => !isRepeat[i]), []);
  if (truth.redundant) compare('repeats', flagged('repeat').filter((i) => truth.redundant!.includes(i)), truth.redundant, 1);
  compare('exposure', flagged('exposure'), truth.exposure ?? []);
  const shifted = flagged('shifted'), moved = flagged('subject-moved');
  if (truth.bump !== undefined) compare('bump', shifted.some((i) => i === truth.bump || i === truth.bump! - 1) ? [truth.bump] : [], [truth.bump]);
  else if (!truth.handheld) compare('shift', shifted, []);
  if (truth.moved !== undefined) compare('moved subject', moved.some((i) => i >= truth.moved! - 1) ? [truth.moved] : [], [truth.moved]);
  else compare('moved subject', moved, []);
}

function expectedVerdicts(truth: StackTruth, trueSteps: number[]): string[] {
  if (truth.accept) return truth.accept;
  if (truth.moved !== undefined) return ['reshoot'];
  // A blurred frame keeps nothing sharp: its neighbours must overlap without it.
  const spoiled = truth.blurred?.some((i) => { const k = truth.depthOrder.indexOf(i); return k > 0 && k < trueSteps.length && trueSteps[k - 1] + trueSteps[k] > GAP; });
  return truth.harmful.length > 0 || spoiled || truth.open ? ['top-up', 'reshoot'] : ['keep'];
}
