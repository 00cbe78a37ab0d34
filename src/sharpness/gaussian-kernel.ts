/**
 * A sampled, truncated Gaussian, from its centre outwards, normalised to a sum of 1 over both sides.
 *
 * @param sigmaPx standard deviation in pixels, above 0
 */
export function gaussianHalfKernel(sigmaPx: number): Float64Array {
  if (!(sigmaPx > 0)) throw new RangeError(`sigma must be above 0 pixels, got ${sigmaPx}`);
  const reach = Math.max(1, Math.ceil(3.2 * sigmaPx));
  const half = Float64Array.from({ length: reach + 1 }, (_, i) => Math.exp(-0.5 * (i / sigmaPx) ** 2));
  let sum = half[0];
  for (let i = 1; i <= reach; i++) sum += 2 * half[i];
  return half.map((value) => value / sum);
}

/** Sigma that puts the peak of the Laplacian-of-Gaussian, applied `order` times, at `centre` cycles per pixel: (f²)ⁿ·e^(−2π²σ²f²) peaks at σ = √(n/2)/(πf). */
export function bandSigmaPx(centre: number, order: number): number {
  return Math.sqrt(order / 2) / (Math.PI * centre);
}
