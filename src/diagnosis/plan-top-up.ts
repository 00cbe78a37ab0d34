import type { TopUp } from '../contract/report.js';
import type { MissingBand } from './missing-bands.js';
import type { OpenEnd } from './open-ends.js';
import type { StackPicture } from './stack-picture.js';

/** Frames between two others so that no step is longer than asked: ⌈distance / step⌉ − 1. Common practice, no source. */
export function framesBetween(distanceDof: number, stepDof: number): number {
  return Math.max(0, Math.ceil(distanceDof / stepDof - 1e-6) - 1);
}

/**
 * Frames that bring every step back to 1 − overlap DOF: between frames where a surface lies soft, and beyond open ends.
 *
 * @param ends the open ends to be closed, null where closed
 * @param dofUm µm per report DOF; null: positions in µm stay unknown
 */
export function planTopUp(picture: StackPicture, bands: readonly MissingBand[], ends: readonly [OpenEnd | null, OpenEnd | null], overlap: number, dofUm: number | null): TopUp[] {
  const { position, order, blurred } = picture, step = 1 - overlap;
  const counted = order.filter((k) => !blurred[k]), plans: TopUp[] = [];
  const add = (after: number | null, before: number | null, positionsDof: number[]) => {
    if (positionsDof.length) plans.push({ after, before, frames: positionsDof.length, positionsDof, positionsUm: dofUm === null ? null : positionsDof.map((z) => z * dofUm) });
  };
  const [near, far] = ends;
  if (near) {
    const first = counted[0], frames = Math.max(1, Math.ceil((near.extentDof - 0.5) / step));
    add(null, first, Array.from({ length: frames }, (_, i) => position[first] - step * (frames - i)));
  }
  for (const band of bands) {
    if (!band.harmful) continue;
    const frames = Math.max(1, framesBetween(band.stepDof, step));
    add(band.after, band.before, Array.from({ length: frames }, (_, i) => position[band.after] + (band.stepDof * (i + 1)) / (frames + 1)));
  }
  if (far) {
    const last = counted[counted.length - 1], frames = Math.max(1, Math.ceil((far.extentDof - 0.5) / step));
    add(last, null, Array.from({ length: frames }, (_, i) => position[last] + step * (i + 1)));
  }
  return plans;
}
