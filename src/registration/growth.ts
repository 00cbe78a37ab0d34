import type { PairFit } from './bundle.js';

/** How fast the picture grows along the depth axis. */
export interface Growth { perDof: number; sigma: number }

/**
 * Growth of the picture (ln scale) per DOF of focus travel, by least squares over the pairs. A camera that advances by dz towards a subject
 * at distance D sees it grow by dz/D, so growth along the axis says which end is near.
 *
 * @param z positions, DOF of either sign
 */
export function pictureGrowth(pairs: readonly PairFit[], z: ArrayLike<number>): Growth {
  let xx = 0, xy = 0, total = 0;
  for (const { from, to, fit } of pairs) {
    const x = z[to] - z[from], w = 1 / (fit.variance[3] + 1e-9);
    xx += w * x * x; xy += w * x * fit.similarity.lnScale;
  }
  if (!(xx > 0)) return { perDof: 0, sigma: Infinity };
  const perDof = xy / xx;
  for (const { from, to, fit } of pairs) total += (fit.similarity.lnScale - perDof * (z[to] - z[from])) ** 2 / (fit.variance[3] + 1e-9);
  const misfit = Math.max(1, total / Math.max(1, pairs.length - 1));
  return { perDof, sigma: Math.sqrt(misfit / xx) };
}
