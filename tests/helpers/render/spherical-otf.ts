const RADIAL = 48, ANGULAR = 48;

/**
 * Response of a circular pupil with primary spherical aberration and defocus, W(ρ) = W020 ρ² + W040 ρ⁴: the overlap
 * integral of the pupil with itself displaced by 2s, (1/π) ∫∫ cos 2π[W(x+s) − W(x−s)] (Hopkins 1955; Goodman, Introduction
 * to Fourier Optics, section 6.4), by the midpoint rule over a quarter of the overlap.
 * Defocus is counted from the focus that keeps detail at s = 0.3 most contrasted, so that "in focus" means what a person sees.
 */
export function sphericalOtf(sphericalWaves: number): (s: number, waves: number) => number {
  const bestWaves = bestFocus(sphericalWaves);
  return (s, waves) => overlap(s, waves + bestWaves, sphericalWaves);
}

function bestFocus(sphericalWaves: number): number {
  let best = 0, top = -1;
  for (let w = -1.6 * Math.abs(sphericalWaves) - 0.2; w <= 1.6 * Math.abs(sphericalWaves) + 0.2; w += 0.01) {
    const value = overlap(0.3, w, sphericalWaves);
    if (value > top) { top = value; best = w; }
  }
  return best;
}

function overlap(s: number, defocusWaves: number, sphericalWaves: number): number {
  if (s >= 1) return 0;
  // The lens-shaped overlap, in x ≥ 0, y ≥ 0: |x + s|² + y² ≤ 1. Its four quarters contribute alike.
  const top = Math.sqrt(1 - s * s);
  let sum = 0;
  for (let i = 0; i < RADIAL; i++) {
    // y = top·sin u evens out the square-root ends.
    const u = ((i + 0.5) / RADIAL) * (Math.PI / 2);
    const y = top * Math.sin(u), dy = top * Math.cos(u) * (Math.PI / 2 / RADIAL);
    const xEnd = Math.sqrt(Math.max(0, 1 - y * y)) - s;
    if (xEnd <= 0) continue;
    let line = 0;
    for (let j = 0; j < ANGULAR; j++) {
      const x = xEnd * ((j + 0.5) / ANGULAR);
      const plus = (x + s) ** 2 + y * y, minus = (x - s) ** 2 + y * y;
      line += Math.cos(2 * Math.PI * (defocusWaves * (plus - minus) + sphericalWaves * (plus * plus - minus * minus)));
    }
    sum += line * (xEnd / ANGULAR) * dy;
  }
  return (4 / Math.PI) * sum;
}
