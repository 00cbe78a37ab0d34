/** Variance of a tile's depth, its amplitudes free, from its own normal matrix (depth first, then amplitudes that do not meet one another). */
export function varianceOfDepth(normal: Float64Array, at: number, width: number, bands: number): number {
  let information = normal[at];
  for (let i = 1; i <= bands; i++) { const own = normal[at + i * width + i]; if (own > 0) information -= normal[at + i] ** 2 / own; }
  return information > 0 ? 1 / information : Infinity;
}
