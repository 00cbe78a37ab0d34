import { shuffled } from './statistics.js';

/**
 * A short path through all frames (an open travelling-salesman tour): nearest insertion at the ends from several starts, then
 * reversals of stretches (2-opt, Croes 1958) and moves of stretches of up to three (or-opt, Or 1976) until none helps.
 *
 * @param distance size × size, symmetric
 * @returns indices in path order
 */
export function framePath(distance: Float64Array, size: number, starts = 8): number[] {
  const d = (a: number, b: number) => distance[a * size + b];
  const seeds = shuffled(Array.from({ length: size }, (_, i) => i), 7).slice(0, starts);
  let best: number[] = Array.from({ length: size }, (_, i) => i), shortest = Infinity;
  for (const seed of [-1, ...seeds]) {
    const path = seed < 0 ? Array.from({ length: size }, (_, i) => i) : nearestInsertion(d, size, seed);
    improve(path, d);
    let length = 0;
    for (let i = 1; i < size; i++) length += d(path[i - 1], path[i]);
    if (length < shortest - 1e-9) { shortest = length; best = path; }
  }
  return best;
}

function nearestInsertion(d: (a: number, b: number) => number, size: number, seed: number): number[] {
  const left = new Set(Array.from({ length: size }, (_, i) => i));
  left.delete(seed);
  const path = [seed];
  while (left.size) {
    let least = Infinity, next = -1, atEnd = true;
    for (const j of left) {
      const first = d(path[0], j), last = d(path[path.length - 1], j);
      if (first < least) { least = first; next = j; atEnd = false; }
      if (last < least) { least = last; next = j; atEnd = true; }
    }
    if (atEnd) path.push(next); else path.unshift(next);
    left.delete(next);
  }
  return path;
}

function improve(path: number[], d: (a: number, b: number) => number): void {
  const size = path.length;
  const link = (i: number, j: number) => (i < 0 || j >= size ? 0 : d(path[i], path[j]));
  for (let pass = 0, better = true; better && pass < 60; pass++) {
    better = false;
    for (let i = 0; i < size - 1; i++) for (let j = i + 1; j < size; j++) {
      const before = link(i - 1, i) + link(j, j + 1);
      const after = (i > 0 ? d(path[i - 1], path[j]) : 0) + (j + 1 < size ? d(path[i], path[j + 1]) : 0);
      if (after < before - 1e-12) { for (let a = i, b = j; a < b; a++, b--) [path[a], path[b]] = [path[b], path[a]]; better = true; }
    }
    for (let length = 1; length <= 3; length++) for (let i = 0; i + length <= size; i++) {
      const j = i + length - 1;
      const freed = link(i - 1, i) + link(j, j + 1) - (i > 0 && j + 1 < size ? d(path[i - 1], path[j + 1]) : 0);
      if (freed <= 1e-12) continue;
      let bestGain = 1e-12, target = -2, turned = false;
      for (let p = -1; p < size; p++) {
        if (p >= i - 1 && p <= j) continue;
        const left = p < 0 ? -1 : path[p], right = p + 1 < size ? path[p + 1] : -1;
        const opened = left >= 0 && right >= 0 ? d(left, right) : 0;
        const straight = (left >= 0 ? d(left, path[i]) : 0) + (right >= 0 ? d(path[j], right) : 0) - opened;
        const reversed = (left >= 0 ? d(left, path[j]) : 0) + (right >= 0 ? d(path[i], right) : 0) - opened;
        if (freed - straight > bestGain) { bestGain = freed - straight; target = p; turned = false; }
        if (freed - reversed > bestGain) { bestGain = freed - reversed; target = p; turned = true; }
      }
      if (target > -2) {
        const piece = path.splice(i, length);
        if (turned) piece.reverse();
        path.splice(target > j ? target + 1 - length : target + 1, 0, ...piece);
        better = true;
      }
    }
  }
}
