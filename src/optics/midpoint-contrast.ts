import { defocusedOtf } from './defocused-otf.js';
import { inFocusMtf } from './in-focus-mtf.js';
import { requirePositive } from './require-positive.js';

/**
 * Contrast left, relative to in focus, half-way between two frames: the worst place of a step.
 *
 * @param stepWaveDof step in multiples of λ/NA², 0 or more
 * @param s reference detail over the cutoff, 0 … below 1
 * @returns 1 … negative where contrast is reversed
 * @throws RangeError outside these ranges
 */
export function midpointContrast(stepWaveDof: number, s: number): number {
  if (!(stepWaveDof >= 0)) throw new RangeError(`step must be 0 or more, got ${stepWaveDof}`);
  requirePositive('frequency ratio', s);
  if (s >= 1) throw new RangeError(`frequency ratio must be below 1, got ${s}`);
  // Half a step from either frame; λ/NA² is half a wave.
  return defocusedOtf(s, stepWaveDof / 4) / inFocusMtf(s);
}
