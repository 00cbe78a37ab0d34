import { defocusedOtf } from './defocused-otf.js';
import { inFocusMtf } from './in-focus-mtf.js';

/**
 * Smallest defocus at which contrast has fallen to a share of its in-focus value: solves OTF(s, W) / OTF(s, 0) = ratio for W.
 *
 * @param s frequency over the cutoff, 0.001 … 0.99
 * @param ratio 0 … below 1; 0 gives the first zero, past which contrast is reversed
 * @returns waves at the pupil's edge, within 1e-7
 * @throws RangeError outside these ranges
 */
export function wavesAtContrast(s: number, ratio: number): number {
  if (!(s >= 0.001 && s <= 0.99)) throw new RangeError(`frequency ratio must be 0.001 … 0.99, got ${s}`);
  if (!(ratio >= 0 && ratio < 1)) throw new RangeError(`contrast ratio must be 0 … below 1, got ${ratio}`);
  const inFocus = inFocusMtf(s);
  const excess = (waves: number): number => defocusedOtf(s, waves) / inFocus - ratio;
  // The curve falls without a turn until its first zero, near W·s·(1−s) = 0.16; a step of a tenth of that cannot jump over a lobe.
  const stride = 0.016 / (s * (1 - s));
  let low = 0;
  let high = stride;
  while (excess(high) > 0) { low = high; high += stride; }
  while (high - low > 1e-8) {
    const middle = (low + high) / 2;
    if (excess(middle) > 0) low = middle; else high = middle;
  }
  return (low + high) / 2;
}
