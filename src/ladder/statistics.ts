/** Value at share q of the sorted values, linearly interpolated; NaN for none. */
export function quantile(values: ArrayLike<number>, q: number): number { return quantileInPlace(new Float64Array(values), q); }

/** The same of values that may be put in another order: in time proportional to their number (quickselect, Hoare 1961). NaNs count as greatest. */
export function quantileInPlace(values: Float64Array, q: number): number {
  const n = values.length;
  if (!n) return NaN;
  let numbers = n;
  for (let i = 0; i < numbers;) if (Number.isNaN(values[i])) { values[i] = values[--numbers]; values[numbers] = NaN; } else i++;
  const x = q * (n - 1), at = Math.floor(x);
  if (at >= numbers) return NaN;
  select(values, at, numbers);
  if (at + 1 >= n) return values[at];
  let next = at + 1 < numbers ? values[at + 1] : NaN;
  for (let i = at + 2; i < numbers; i++) if (values[i] < next) next = values[i];
  return values[at] + (x - at) * (next - values[at]);
}

/** Brings the value that would stand at `at` after sorting there, none greater before it, none less behind it. */
function select(values: Float64Array, at: number, end: number): void {
  let left = 0, right = end - 1;
  while (left < right) {
    const a = values[left], b = values[(left + right) >> 1], c = values[right];
    const pivot = a < b ? (b < c ? b : a < c ? c : a) : (a < c ? a : b < c ? c : b);
    let i = left, j = right;
    while (i <= j) {
      while (values[i] < pivot) i++;
      while (values[j] > pivot) j--;
      if (i <= j) { const v = values[i]; values[i++] = values[j]; values[j--] = v; }
    }
    if (at <= j) right = j;
    else if (at >= i) left = i;
    else return;
  }
}

export function median(values: ArrayLike<number>): number { return quantile(values, 0.5); }

/** Standard deviation that the median absolute deviation stands for, were the values normally distributed. */
export function robustSpread(values: ArrayLike<number>): number {
  const middle = median(values);
  const off = new Float64Array(values);
  for (let i = 0; i < off.length; i++) off[i] = Math.abs(off[i] - middle);
  return 1.4826 * quantileInPlace(off, 0.5);
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
  for (let i = out.length - 1; i > 0; i--) { const j = Math.floor(random() * (i + 1)), kept = out[i]; out[i] = out[j]; out[j] = kept; }
  return out;
}
