import type { Decision } from '../contract/report.js';

/** Exit statuses of every command; scripts rely on them. */
export const exitStatus = { keep: 0, framesMissing: 1, undecided: 2, couldNotRun: 3, interrupted: 130 } as const;

/** The status `check` ends with. */
export function statusOfDecision(decision: Decision): number {
  switch (decision) {
    case 'keep': return exitStatus.keep;
    case 'top-up':
    case 'reshoot': return exitStatus.framesMissing;
    case 'undecided': return exitStatus.undecided;
  }
}
