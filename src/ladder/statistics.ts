/** Value at share q of the sorted values, linearly interpolated; NaN for none. */
export function quantile(values: ArrayLike<number>, q: number): number {
  const sorted = Float64Array.from(values).sort();
  if (!sorted.length) return NaN;
  const x = q * (sorted.length - 1), i = Math.floor(x);
  return i + 1 < sorted.length ? sorted[i] + (x - i) * (sorted[i + 1] - sorted[i]) : sorted[i];
}

export function median(values: ArrayLike<number>): number { return quantile(values, 0.5); }

/** Standard deviation that the median absolute deviation stands for, were the values normally distributed. */
export function robustSpread(values: ArrayLike<number>): number {
  const middle = median(values);
  return 1.4826 * median(Array.from(values, (v) => Math.abs(v - middle)));
}

/** Deterministic uniform random numbers 0 … 1 (Mulberry32), so that the same folder always gives the same report. */
export function randomFrom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** The given items in random order (Fisher–Yates). */
export function shuffled<T>(items: ArrayLike<T>, seed: number): T[] {
  const out = Array.from(items), random = randomFrom(seed);
  for (let i = out.length - 1; i > 0; i--) { const j = Math.floor(random() * (i + 1)); [out[i], out[j]] = [out[j], out[i]]; }
  return out;
}
