import type { PairFit } from './bundle.js';

/** How much larger the picture is in the second of two neighbours: ln scale, and its standard deviation as the windows' scatter has it. */
export interface NeighbourGrowth { lnScale: number; sigma: number }

/** Variance that no pair is better than: windows share errors that their scatter does not show. */
const FLOOR = 1e-9;

/**
 * Growth of the picture between neighbours, from the pair itself and from next-but-one pairs less the other neighbour's, weighted by variance.
 *
 * @param order frames along the depth axis, whose neighbours and next-but-one neighbours were registered where possible
 * @returns one per interval of `order`; null where no pair spans it
 */
export function neighbourGrowth(pairs: readonly PairFit[], order: readonly number[]): (NeighbourGrowth | null)[] {
  const known = new Map<string, { value: number; variance: number }>();
  for (const { from, to, fit } of pairs) {
    const variance = fit.variance[3] + FLOOR;
    known.set(`${from},${to}`, { value: fit.similarity.lnScale, variance });
    known.set(`${to},${from}`, { value: -fit.similarity.lnScale, variance });
  }
  const between = (i: number, j: number) => known.get(`${order[i]},${order[j]}`);
  return order.slice(1).map((_, i) => {
    const ways = [between(i, i + 1)];
    for (const [wide, narrow] of [[between(i, i + 2), between(i + 1, i + 2)], [between(i - 1, i + 1), between(i - 1, i)]]) {
      if (wide && narrow) ways.push({ value: wide.value - narrow.value, variance: wide.variance + narrow.variance });
    }
    let sum = 0, weight = 0;
    for (const way of ways) if (way) { sum += way.value / way.variance; weight += 1 / way.variance; }
    return weight > 0 ? { lnScale: sum / weight, sigma: Math.sqrt(1 / weight) } : null;
  });
}
