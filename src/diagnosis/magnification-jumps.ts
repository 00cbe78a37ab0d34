import { median } from '../ladder/statistics.js';
import type { NeighbourGrowth } from '../registration/growth-steps.js';

/**
 * A change of size beyond growth (ln) from which a lens setting must have changed. Of 600 steps of rendered stacks none was off by more
 * than 0.006, and none by more than 5 sigmas.
 */
const LEAST_JUMP = 0.01, LEAST_SIGMAS = 6;
/** And it must be this many times the growth that the step explains: deep gaps at low magnification grow by percents. */
const TIMES_GROWTH = 2;
const LEAST_INTERVALS = 4;

/**
 * Intervals across which the picture changes size by far more than the step between the two frames explains.
 *
 * @param steps lengths of the intervals along the axis, any unit
 * @returns interval, and by how much more it grew (ln)
 */
export function magnificationJumps(growth: readonly (NeighbourGrowth | null)[], steps: readonly number[]): { interval: number; lnScale: number }[] {
  const known = growth.flatMap((g, i) => (g && steps[i] > 0 ? [i] : []));
  if (known.length < LEAST_INTERVALS) return [];
  const ratio = median(known.map((i) => growth[i]!.lnScale / steps[i]));
  const noise = 1.4826 * median(known.map((i) => Math.abs(growth[i]!.lnScale - ratio * steps[i])));
  return known.flatMap((interval) => {
    const { lnScale, sigma } = growth[interval]!, explained = ratio * steps[interval], beyond = lnScale - explained;
    const jumps = Math.abs(beyond) > Math.max(LEAST_JUMP, LEAST_SIGMAS * Math.hypot(noise, sigma), TIMES_GROWTH * Math.abs(explained));
    return jumps ? [{ interval, lnScale: beyond }] : [];
  });
}
