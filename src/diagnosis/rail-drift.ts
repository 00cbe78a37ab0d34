import { fitLinear } from './fit-lines.js';

/**
 * Change of the step along a run, relative to the step: positions bend where steps grow or shrink.
 *
 * @param travel frames' worth of way, evenly spaced; @param position of each, any unit; 6 or more
 * @returns null where there are too few. Sigma allows for residuals that follow one another (first-order autocorrelation).
 */
export function railDrift(travel: readonly number[], position: readonly number[]): { drift: number; sigma: number } | null {
  const n = travel.length;
  if (n < 6) return null;
  const middle = (travel[0] + travel[n - 1]) / 2, span = Math.abs(travel[n - 1] - travel[0]);
  const u = travel.map((v) => v - middle);
  const fit = fitLinear([u.map(() => 1), u, u.map((v) => v * v)], position, u.map(() => 1));
  if (!fit || span === 0) return null;
  const [, step, bend] = fit.coefficients, { residual } = fit;
  const squares = residual.reduce((sum, r) => sum + r * r, 0);
  const lag = Math.min(0.9, Math.max(0, residual.slice(1).reduce((sum, r, i) => sum + r * residual[i], 0) / Math.max(squares, 1e-12)));
  const sigmaBend = Math.sqrt((squares / Math.max(1, n - 3)) * fit.inverse[2][2] * ((1 + lag) / (1 - lag)));
  return { drift: (2 * bend * span) / step, sigma: Math.abs((2 * sigmaBend * span) / step) };
}
