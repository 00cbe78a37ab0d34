import type { Report } from '../contract/report.js';

/** Least distance to keep between lens and subject; below twice this a plan warns. Common practice, no source. */
export const LEAST_CLEARANCE_MM = 5;

/** Said wherever a camera is to be moved towards a subject. */
export const CLEARANCE_CAUTION =
  'Before the camera moves towards the subject, look from the side how much room is left: a lens driven too far crushes the subject, itself or a finger. Where you can, bring the camera in by hand first and shoot while it moves away.';

/** The same in a line, where it is said after every frame. */
export const ROOM_REMINDER = 'Mind the room between lens and subject.';

/** Said with every plan of shooting. */
export const CARE_CAUTION =
  'Keep bright flashes and any laser away from eyes at close range. Living subjects are left unharmed: no chilling, no pinning. The instructions of your equipment and the rules of the place come first.';

/** The slack of a hand-driven rail is 5–50 µm (common practice, no source). */
export const ONE_SIDE_ADVICE = 'Come to every frame from the same side, so that the slack of the rail is always taken up.';

/**
 * Cautions for moving the camera in by `travelUm`.
 *
 * @param travelUm way towards the subject, 0 or more
 * @param workingDistanceMm front of the lens to the subject before the move, or null where nobody measured it
 * @returns sentences to show; the clearance caution is always the first
 */
export function clearanceCautions(travelUm: number, workingDistanceMm: number | null): string[] {
  const cautions = [CLEARANCE_CAUTION];
  if (workingDistanceMm === null) {
    cautions.push('The working distance is not known: measure from the front of the lens to the subject and give it, to see how much room is left.');
    return cautions;
  }
  const leftMm = workingDistanceMm - travelUm / 1000;
  if (leftMm < LEAST_CLEARANCE_MM) cautions.push(`Only ${roomText(leftMm)} would be left between lens and subject. That is too little to work safely: take a longer lens, or shoot the depth in parts.`);
  else if (leftMm < 2 * LEAST_CLEARANCE_MM) cautions.push(`Only ${roomText(leftMm)} will be left between lens and subject at the end. Watch it from the side.`);
  return cautions;
}

/**
 * What goes with a report whose advice sends somebody back to the rig without moves worked out for it (those carry their own cautions):
 * shooting again, a frame more to settle a doubt, a remedy.
 *
 * @returns none where nothing is to be shot
 */
export function reportCautions({ verdict, topUp, findings }: Report): string[] {
  if (topUp.length > 0 && verdict.decision !== 'reshoot') return [];
  return verdict.decision === 'keep' && findings.every((finding) => finding.severity === 'info' || finding.remedy === undefined) ? [] : [CLEARANCE_CAUTION, CARE_CAUTION];
}

/** True for what must be read before the camera moves: all but the two that hold throughout. */
export const isClearance = (caution: string): boolean => caution !== ONE_SIDE_ADVICE && caution !== CARE_CAUTION;

function roomText(mm: number): string {
  return `${Math.max(0, mm).toFixed(1)} mm`;
}
