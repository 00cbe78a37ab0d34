// AssemblyScript, compiled to WebAssembly by scripts/build.mjs: src/ladder/statistics.ts again; tests/unit/fast-look-around.test.ts holds the two together.

/** Brings the value that would stand at `at` after sorting there, none greater before it, none less behind it. */
export function select(values: usize, at: i32, end: i32): void {
  let left = 0, right = end - 1;
  while (left < right) {
    const a = load<f64>(values + (left << 3)), b = load<f64>(values + (((left + right) >> 1) << 3)), c = load<f64>(values + (right << 3));
    const pivot = a < b ? (b < c ? b : a < c ? c : a) : (a < c ? a : b < c ? c : b);
    let i = left, j = right;
    while (i <= j) {
      while (load<f64>(values + (i << 3)) < pivot) i++;
      while (load<f64>(values + (j << 3)) > pivot) j--;
      if (i <= j) {
        const v = load<f64>(values + (i << 3));
        store<f64>(values + (i << 3), load<f64>(values + (j << 3)));
        store<f64>(values + (j << 3), v);
        i++; j--;
      }
    }
    if (at <= j) right = j;
    else if (at >= i) left = i;
    else return;
  }
}

/** Value at share `q` of `count` > 0 sorted values of f64, linearly interpolated; none of them NaN. It puts them in another order. */
export function quantileOf(values: usize, count: i32, q: f64): f64 {
  const x = q * <f64>(count - 1), at = <i32>x;
  select(values, at, count);
  const low = load<f64>(values + (at << 3));
  if (at + 1 >= count) return low;
  let next = load<f64>(values + ((at + 1) << 3));
  for (let i = at + 2; i < count; i++) next = min<f64>(next, load<f64>(values + (i << 3)));
  return low + (x - <f64>at) * (next - low);
}

export function medianOf(values: usize, count: i32): f64 { return quantileOf(values, count, 0.5); }
