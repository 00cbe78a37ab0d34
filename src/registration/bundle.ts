import type { SimilarityFit } from './fit-similarity.js';
import { composeSimilarity, IDENTITY, invertSimilarity, type Similarity } from './similarity.js';

export interface PairFit { from: number; to: number; fit: SimilarityFit }

/** Least variances believed of a pair: windows share errors that their scatter does not show. */
const FLOOR = [0.01, 0.01, 1e-9, 1e-9] as const;

/**
 * One similarity a frame from all pairs: chained from the reference along the best pairs, then all pairs' closures by least squares.
 * Frames that no pair reaches keep the identity.
 */
export function bundle(frames: number, pairs: readonly PairFit[], reference: number): Similarity[] {
  const found = new Array<Similarity | null>(frames).fill(null);
  found[reference] = IDENTITY;
  for (let todo = [reference]; todo.length;) {
    const here = todo.shift()!;
    for (const { from, to, fit } of pairs) {
      const there = from === here ? to : to === here ? from : -1;
      if (there < 0 || found[there]) continue;
      found[there] = composeSimilarity(found[here]!, from === here ? fit.similarity : invertSimilarity(fit.similarity));
      todo.push(there);
    }
  }
  const result = found.map((p) => p ?? IDENTITY);
  const keys = ['row', 'column', 'turn', 'lnScale'] as const;
  for (let round = 0; round < 3; round++) keys.forEach((key, axis) => relax(result, pairs, reference, key, axis));
  return result;
}

/** Moves one component of all frames to where the weighted closure errors of the pairs balance (Gauss–Seidel; the graph is a chain with links of one and two). */
function relax(result: Similarity[], pairs: readonly PairFit[], reference: number, key: keyof Similarity, axis: number): void {
  const links = result.map((): { other: number; weight: number; value: number }[] => []);
  for (const { from, to, fit } of pairs) {
    const weight = 1 / (fit.variance[axis] + FLOOR[axis]);
    const predicted = composeSimilarity(result[from], fit.similarity)[key] - result[from][key];
    links[to].push({ other: from, weight, value: predicted });
    links[from].push({ other: to, weight, value: -predicted });
  }
  const values = result.map((p) => p[key]);
  for (let sweep = 0; sweep < 400; sweep++) {
    let largest = 0;
    links.forEach((own, k) => {
      if (k === reference || !own.length) return;
      let sum = 0, total = 0;
      for (const { other, weight, value } of own) { sum += weight * (values[other] + value); total += weight; }
      largest = Math.max(largest, Math.abs(sum / total - values[k]));
      values[k] = sum / total;
    });
    if (largest < 1e-7) break;
  }
  values.forEach((value, k) => { result[k] = { ...result[k], [key]: value }; });
}
