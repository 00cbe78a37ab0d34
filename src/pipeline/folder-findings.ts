import type { Finding, Frame, Step } from '../contract/report.js';
import { capturePause } from '../diagnosis/capture-pause.js';
import { folderDoubt, LEAST_COMMON, littleInCommon, magnificationJump } from '../diagnosis/folder-doubt.js';
import { growthFindings } from '../diagnosis/growth-findings.js';
import { growthSteps } from '../diagnosis/growth-steps.js';
import { magnificationJumps } from '../diagnosis/magnification-jumps.js';
import { speckFinding } from '../diagnosis/speck-finding.js';
import type { StackPicture } from '../diagnosis/stack-picture.js';
import { twoPasses } from '../diagnosis/two-passes.js';
import { neighbourGrowth } from '../registration/growth-steps.js';
import { pictureGrowth } from '../registration/growth.js';
import type { SolvedStack } from './solve-stack.js';

/** A growth that counts stands out from its noise this far. */
const GROWTH_SIGMAS = 3;

/** Why the folder can't be one stack from one place; null where nothing speaks against it. */
export function strangeFolder(solved: SolvedStack, picture: StackPicture | null, labels: readonly string[]): Finding | null {
  const { measured, source, folder, pairs, leftOut } = solved, z = solved.ladder?.state.z ?? null;
  const growth = z && pairs.length ? pictureGrowth(pairs, z) : null, perDof = growth && Math.abs(growth.perDof) > GROWTH_SIGMAS * growth.sigma ? growth.perDof : null;
  return folderDoubt({
    ...folder.groups, frames: measured, labels, otherSize: leftOut.filter(({ flag }) => flag === 'other-size').map(({ index }) => index),
    pause: capturePause(source.frames.map((frame) => frame.facts.captureTimeMs)),
    expectedLnScale: measured.map((_, k) => (k > 0 && z && perDof !== null ? perDof * (z[k] - z[k - 1]) : null)),
  }) ?? (picture && (jumpAlong(solved, picture, labels) ?? driftedApart(solved, labels)));
}

/** Another lens setting in between, as the registration along the axis shows it. */
function jumpAlong({ pairs, measured }: SolvedStack, { order, position }: StackPicture, labels: readonly string[]): Finding | null {
  const jumps = magnificationJumps(neighbourGrowth(pairs, order), order.slice(1).map((k, i) => position[k] - position[order[i]]));
  if (!jumps.length) return null;
  // The later in the folder is the one that was shot after the change.
  const from = jumps.map(({ interval }) => Math.max(measured[order[interval]], measured[order[interval + 1]]));
  const [first] = jumps, forward = order[first.interval + 1] > order[first.interval];
  return magnificationJump(from, labels, forward ? first.lnScale : -first.lnScale);
}

/** Frames that moved sideways little by little until all of them share too little. */
function driftedApart({ transforms, stack }: SolvedStack, labels: readonly string[]): Finding | null {
  const range = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);
  const common = Math.max(0, 1 - range(transforms.map((p) => p.row)) / stack.rows) * Math.max(0, 1 - range(transforms.map((p) => p.column)) / stack.columns);
  return common < LEAST_COMMON ? littleInCommon(common, [], labels, 0) : null;
}

/** What the pictures say beside focus, where nothing speaks against the folder: growth as a second meter, a second pass, dust. */
export function besideFocus(solved: SolvedStack, picture: StackPicture, frames: readonly Frame[], steps: readonly Step[], labels: readonly string[], dofUm: number | null): { findings: Finding[]; passes: Finding | null } {
  const { order, position, ladder, perUnit } = picture;
  const growth = growthSteps(neighbourGrowth(solved.pairs, order), steps.map((step) => ({ stepDof: step.stepDof ?? 0, sigmaDof: step.sigmaDof ?? 0, measured: step.grade !== 'unmeasured' && !step.atLeast })));
  const passes = twoPasses({ position: frames.map((frame) => frame.positionDof), timesMs: solved.source.frames.map((frame) => frame.facts.captureTimeMs), labels });
  const span = position[order[order.length - 1]] - position[order[0]];
  return { passes, findings: [...growthFindings(steps, growth, labels, dofUm), ...(passes ? [passes] : []), ...speckFinding(solved.folder.specks, order.length, span, ladder.curves[0].reach * perUnit)] };
}
