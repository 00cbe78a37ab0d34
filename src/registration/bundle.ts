import { choleskySolve } from '../image/cholesky.js';
import type { SimilarityFit } from './fit-similarity.js';
import { composeSimilarity, IDENTITY, invertSimilarity, type Similarity } from './similarity.js';

export interface PairFit { from: number; to: number; fit: SimilarityFit }

/** What is expected between neighbours before any pair is looked at. */
export interface Tie { from: number; to: number; similarity: Similarity; variance: readonly [number, number, number, number] }

/** Least variances believed of a pair: windows share errors that their scatter does not show. */
const FLOOR = [0.01, 0.01, 1e-9, 1e-9] as const, NO_FLOOR = [0, 0, 0, 0] as const;

/**
 * One similarity a frame from all pairs: chained from the reference along the pairs, over ties where no pair leads on, then all closures by
 * least squares.
 */
export function bundle(frames: number, pairs: readonly PairFit[], ties: readonly Tie[], reference: number): Similarity[] {
  const links: Link[] = [
    ...pairs.map(({ from, to, fit }) => ({ from, to, similarity: fit.similarity, variance: fit.variance, floor: FLOOR })),
    ...ties.map((tie) => ({ ...tie, floor: NO_FLOOR })),
  ];
  const found = new Array<Similarity | null>(frames).fill(null);
  found[reference] = IDENTITY;
  // Links come pairs first, and the search begins anew after every find: a tie is walked only where the pairs end.
  for (let link = next(); link; link = next()) {
    const { from, to, similarity } = link;
    if (found[from]) found[to] = composeSimilarity(found[from], similarity);
    else found[from] = composeSimilarity(found[to]!, invertSimilarity(similarity));
  }
  function next(): Link | undefined { return links.find(({ from, to }) => (found[from] === null) !== (found[to] === null)); }
  const result = found.map((p) => p ?? IDENTITY);
  const keys = ['row', 'column', 'turn', 'lnScale'] as const;
  for (let round = 0; round < 3; round++) keys.forEach((key, axis) => balance(result, links, reference, key, axis));
  return result;
}

interface Link { from: number; to: number; similarity: Similarity; variance: readonly number[]; floor: readonly number[] }

/** Moves one component of all frames to where the weighted closure errors of the links are least. */
function balance(result: Similarity[], links: readonly Link[], reference: number, key: keyof Similarity, axis: number): void {
  const n = result.length, normal = new Float64Array(n * n), right = new Float64Array(n);
  for (const { from, to, similarity, variance, floor } of links) {
    const weight = 1 / (variance[axis] + floor[axis]);
    const error = composeSimilarity(result[from], similarity)[key] - result[to][key];
    normal[from * n + from] += weight; normal[to * n + to] += weight;
    normal[from * n + to] -= weight; normal[to * n + from] -= weight;
    right[to] += weight * error; right[from] -= weight * error;
  }
  // The reference stays where it is; frames without any link stay too.
  for (let k = 0; k < n; k++) if (k === reference || normal[k * n + k] === 0) {
    for (let j = 0; j < n; j++) normal[k * n + j] = normal[j * n + k] = 0;
    normal[k * n + k] = 1;
    right[k] = 0;
  }
  const change = choleskySolve(normal, right, n);
  change.forEach((value, k) => { result[k] = { ...result[k], [key]: result[k][key] + value }; });
}
