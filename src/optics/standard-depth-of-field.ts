import { requirePositive } from './require-positive.js';
import { wavesAtContrast } from './waves-at-contrast.js';

/** A surface counts as sharp while the reference detail keeps this share of its in-focus contrast. */
export const SHARP_CONTRAST_RATIO = 0.8;
/** Reference detail where the lens limits, as a share of its cutoff. */
const LENS_REFERENCE = 0.3;
/** Reference detail where the pixels limit: four pixels a line pair. */
const PIXEL_REFERENCE_CYCLES = 0.25;

/**
 * Reference detail of the depth-of-field standard as a share of the cutoff: min(0.3 f_c, 0.25 cycles/pixel) / f_c.
 *
 * @param cutoffCyclesPerPixel cutoff in cycles per pixel of the picture that is judged (the output picture's pixels where it is made smaller)
 * @throws RangeError for a value that is not positive
 */
export function referenceFrequencyRatio(cutoffCyclesPerPixel: number): number {
  requirePositive('cutoff', cutoffCyclesPerPixel);
  return Math.min(LENS_REFERENCE, PIXEL_REFERENCE_CYCLES / cutoffCyclesPerPixel);
}

const factorCache = new Map<number, number>();

/**
 * Depth of field of this program's standard as a multiple of λ/NA²: twice the offset at which the reference detail's contrast
 * falls to 0.8 of its in-focus value. With W = NA² Δz / (2λ), that is 4 W.
 *
 * @param cutoffCyclesPerPixel see {@link referenceFrequencyRatio}
 * @returns 1.0108 where the lens sets the reference detail (cutoff up to 0.83 cycles per pixel), more where the pixels do
 * @throws RangeError for a value that is not positive, or above 250 (an output of a few pixels)
 */
export function standardDofFactor(cutoffCyclesPerPixel: number): number {
  const s = referenceFrequencyRatio(cutoffCyclesPerPixel);
  let factor = factorCache.get(s);
  if (factor === undefined) {
    factor = 4 * wavesAtContrast(s, SHARP_CONTRAST_RATIO);
    if (factorCache.size > 1000) factorCache.clear();
    factorCache.set(s, factor);
  }
  return factor;
}

/**
 * The same in µm on the subject.
 *
 * @param waveDofUm λ/NA², above 0
 */
export function standardDepthOfFieldUm(waveDofUm: number, cutoffCyclesPerPixel: number): number {
  requirePositive('wave depth of field', waveDofUm);
  return waveDofUm * standardDofFactor(cutoffCyclesPerPixel);
}
