import type { Coverage } from './coverage.js';
import type { StackPicture } from './stack-picture.js';
import type { gradeStep } from './grade-step.js';

/** From this share of the picture a soft band is seen. */
export const HARMFUL_SOFT_SHARE = 0.005;

/**
 * A blurred frame was needed where its neighbours stand further apart than this, DOF. Half-way between two that are, the reference detail keeps 0.74 of its contrast
 * instead of 0.8; up to there a frame less is worth a word, no verdict.
 */
const NEEDED_FROM_DOF = 1.15;

/** Depths between two frames that count, further apart than the DOF. Frames found blurred lie in between and count for nothing. */
export interface MissingBand {
  after: number;
  before: number;
  stepDof: number;
  atLeast: boolean;
  softShare: number;
  harmful: boolean;
  /** Blurred frames inside. */
  spoiled: number[];
}

/** @param grades one per interval of `order` */
export function missingBands(picture: StackPicture, cover: Coverage, grades: readonly ReturnType<typeof gradeStep>[]): MissingBand[] {
  const { order, position, blurred } = picture;
  const bands: MissingBand[] = [];
  let from = -1;
  order.forEach((frame, i) => {
    if (blurred[frame]) return;
    if (from >= 0) {
      const spoiled = order.slice(from + 1, i), stepDof = position[frame] - position[order[from]];
      let softShare = 0;
      for (let j = from; j < i; j++) softShare += cover.softShare[j];
      const missing = spoiled.length ? stepDof > 1 : grades[from].grade === 'gap';
      if (missing) bands.push({ after: order[from], before: frame, stepDof, atLeast: grades[from].atLeast, softShare, harmful: softShare >= HARMFUL_SOFT_SHARE && (!spoiled.length || stepDof > NEEDED_FROM_DOF), spoiled });
    }
    from = i;
  });
  return bands;
}
