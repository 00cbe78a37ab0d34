import type { Report } from '../contract/report.js';

/** Which rig card was used, and why: one that was picked by itself may be the wrong one. */
export function rigCardSentence({ name, pickedFor }: NonNullable<Report['rigCard']>): string {
  return pickedFor === null
    ? `Rig card: ${name}.`
    : `Rig card: ${name}. It was picked because it is the only one saved for this camera (${pickedFor}); name another with --rig, or none with --no-rig.`;
}
