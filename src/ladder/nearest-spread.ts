import { SPREADS } from './focus-curve.js';

/** Index of the tabulated spread nearest to sigma. */
export function nearestSpread(sigma: number): number {
  let best = 0;
  for (let i = 1; i < SPREADS.length; i++) if (Math.abs(SPREADS[i] - sigma) < Math.abs(SPREADS[best] - sigma)) best = i;
  return best;
}
