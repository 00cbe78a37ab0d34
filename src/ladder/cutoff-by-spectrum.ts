import { spectrumMisfit, type FocusSpectrum } from './focus-spectrum.js';

/** Shares of the planned cutoff: tried where the spectrum may end early; and what the plan's own bands are good for, and beyond. Few values, so that a stack that grows keeps its plan. */
const EARLY = [0.18, 0.24, 0.34, 0.48] as const, USUAL = [0.7, 0.85, 1, 1.4, 2, 3, 5] as const;
/** How much better (χ²) an early end must explain the spectrum. */
const SURE = 5;

/**
 * A lens passes nothing beyond its cutoff: where the spectrum of what is in focus ends far below the planned cutoff, the plan's fine band holds little
 * but noise, and the frames are better measured anew. (Sharpening and resizing change the spectrum's shape, not where it ends.)
 *
 * @param planned cycles per source pixel
 * @returns cutoff to plan with; null: nothing speaks against the plan
 */
export function cutoffBySpectrum(spectrum: FocusSpectrum, planned: number): number | null {
  const misfit = (shares: readonly number[]): number[] => shares.map((share) => spectrumMisfit(spectrum, share * planned)), early = misfit(EARLY), least = Math.min(...early);
  return least < Math.min(...misfit(USUAL)) - SURE ? EARLY[early.indexOf(least)] * planned : null;
}
