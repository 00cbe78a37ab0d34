// AssemblyScript: products that are added up, four at a time. Compiled with relaxed SIMD they are the processor's own multiply-and-add, rounded once
// instead of twice; without, two steps. Which of the two is loaded says src/io/frame-worker.ts.

/** a · b + c. */
@inline export function plus(a: v128, b: v128, c: v128): v128 {
  if (ASC_FEATURE_RELAXED_SIMD) return f32x4.relaxed_madd(a, b, c);
  return f32x4.add(c, f32x4.mul(a, b));
}

/** c − a · b. */
@inline export function less(a: v128, b: v128, c: v128): v128 {
  if (ASC_FEATURE_RELAXED_SIMD) return f32x4.relaxed_nmadd(a, b, c);
  return f32x4.sub(c, f32x4.mul(a, b));
}
