import type { Finding, Step } from '../contract/report.js';
import type { GrowthStep } from './growth-steps.js';

/** Focus and growth disagree from this many combined sigmas. On rendered stacks 3.2 was the most of 686 steps. */
const DISAGREE = 4;
/** An estimate vaguer than this share of itself (or of one DOF) tells nobody anything. */
const MOST_VAGUE = 0.6;

/**
 * What the growth of the picture has to say: where it contradicts the focus curves, and its own estimate where those leave a step open.
 * An estimate never changes a grade: it is off by a fifth and more.
 */
export function growthFindings(steps: readonly Step[], growth: readonly (GrowthStep | null)[], labels: readonly string[], dofUm: number | null): Finding[] {
  return steps.flatMap((step, i): Finding[] => {
    const grown = growth[i], frames = [step.from, step.to], names = `${labels[step.from]} and ${labels[step.to]}`;
    if (!grown || step.stepDof === null) return [];
    if (step.grade === 'unmeasured' || step.atLeast) {
      if (grown.sigmaDof > MOST_VAGUE * Math.max(1, grown.stepDof)) return [];
      return [{
        kind: 'growth-estimate', severity: 'info', frames,
        message: `${step.atLeast ? 'Focus says only the least of' : 'Focus can’t tell'} the step between ${names}. By the growth of the picture it is about ${lengthText(grown.stepDof, grown.sigmaDof, dofUm)}: a rough estimate, which counts for no grade.`,
        remedy: 'A frame shot between the two would settle it.',
      }];
    }
    if (grown.pull === null || Math.abs(grown.pull) < DISAGREE) return [];
    return [{
      kind: 'growth-disagrees', severity: 'warn', frames,
      message: `Focus makes the step between ${names} ${step.stepDof.toFixed(2)} × DOF, the growth of the picture about ${lengthText(grown.stepDof, grown.sigmaDof, dofUm)}: one of the two is wrong, by ${Math.abs(grown.pull).toFixed(0)} times what both may be off.`,
      remedy: 'Look whether the subject, the camera or the lens setting moved between the two; if in doubt, shoot the place again.',
    }];
  });
}

function lengthText(dof: number, sigma: number, dofUm: number | null): string {
  const least = Math.max(0, dof), times = `${least.toFixed(1)} ± ${sigma.toFixed(1)} × DOF`;
  return dofUm === null ? times : `${times} (${Math.round(least * dofUm)} µm)`;
}
