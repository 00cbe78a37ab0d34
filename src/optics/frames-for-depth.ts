import { requirePositive } from './require-positive.js';

/**
 * Frames for a depth when the first is focused on the nearest point and the last on the farthest or just behind it.
 * That leaves half a DOF of reserve at either end, which setting the ends by eye uses up.
 *
 * @param depthUm 0 or more
 * @param stepUm above 0
 * @returns 1 or more
 * @throws RangeError outside these ranges
 */
export function framesForDepth(depthUm: number, stepUm: number): number {
  if (!(depthUm >= 0) || !Number.isFinite(depthUm)) throw new RangeError(`depth must be 0 or more, got ${depthUm}`);
  requirePositive('step', stepUm);
  // A depth that is a whole number of steps must not gain a frame by rounding.
  return Math.ceil(depthUm / stepUm - 1e-9) + 1;
}
