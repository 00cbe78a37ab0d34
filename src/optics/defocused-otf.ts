/**
 * Optical transfer function of a defocused, aberration-free lens with a circular pupil (Hopkins 1955; Stokseth 1969):
 * (4/π) ∫ from asin s to π/2 of cos²t · cos(8πWs(sin t − s)) dt.
 *
 * @param s spatial frequency over the cutoff frequency, 0 … 1 (0 beyond)
 * @param waves defocus W at the pupil's edge in waves, any sign
 * @returns −1 … 1; negative where contrast is reversed. Error below 1e-7 for |W·s| ≤ 8.
 */
export function defocusedOtf(s: number, waves: number): number {
  if (!(s >= 0)) throw new RangeError(`frequency ratio must be 0 or more, got ${s}`);
  if (s >= 1) return 0;
  const start = Math.asin(s);
  const phase = 8 * Math.PI * Math.abs(waves) * s;
  // Midpoint rule; the integrand oscillates phase·(1−s)/2π times.
  const points = 96 + 24 * Math.ceil((phase * (1 - s)) / (2 * Math.PI));
  const width = (Math.PI / 2 - start) / points;
  let sum = 0;
  for (let i = 0; i < points; i++) {
    const t = start + (i + 0.5) * width;
    const cosine = Math.cos(t);
    sum += cosine * cosine * Math.cos(phase * (Math.sin(t) - s));
  }
  // Its leading error, h²/24 times the slope at the ends, is known (Euler–Maclaurin): the slope is −2s√(1−s²) at the start and 0 at the end.
  const endSlope = (width * width * s * Math.sqrt(1 - s * s)) / 12;
  return (4 / Math.PI) * (width * sum + endSlope);
}
