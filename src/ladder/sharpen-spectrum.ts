import { fastSharpen } from './fast-sharpen.js';
import { leakageRings, RADII, windowLeakage } from './window-leakage.js';

/** Enough to tell lines two frequency cells apart; more would follow the noise. */
const ROUNDS = 30;
/** Radii that the bins see less of keep their first idea. */
const LEAST_WEIGHT = 1e-6;
/** Below this bin the window's own mean has been taken out. */
export const FIRST_BIN = 2;

/**
 * The isotropic spectrum that, seen through Hann windows, gives the measured bins: by Richardson and Lucy's iteration (Richardson 1972; Lucy 1974) from a
 * first idea of it, which stays where the bins tell nothing. Nothing becomes negative.
 *
 * @param measured power in radial bins, 0 where it drowns in noise
 * @param used which bins count
 * @param law first idea of the spectrum at {@link RADII} radii, any scale
 * @returns the spectrum over the law, scaled to it, at the same radii
 */
export function sharpenSpectrum(measured: ArrayLike<number>, used: readonly boolean[], law: Float64Array): Float64Array {
  const leakage = windowLeakage(), some = used.flatMap((yes, bin) => (yes && bin >= FIRST_BIN ? [bin] : []));
  const { from, to } = leakageRings();
  const seen = (spectrum: Float64Array, bin: number): number => { const line = leakage[bin]; let sum = 0; for (let r = from[bin]; r < to[bin]; r++) sum += line[r] * spectrum[r]; return sum; };
  let have = 0, should = 0;
  for (const bin of some) { have += seen(law, bin); should += measured[bin]; }
  if (!(have > 0 && should > 0)) return law.map(() => 1);
  const start = law.map((v) => (v * should) / have), spectrum = fastSharpen(leakage, from, to, some, measured, ROUNDS, LEAST_WEIGHT, start) ?? plainSharpen();
  return spectrum.map((v, r) => v / start[r]);

  function plainSharpen(): Float64Array {
    const spectrum = start.slice(), factor = new Float64Array(RADII), weight = new Float64Array(RADII);
    for (let round = 0; round < ROUNDS; round++) {
      factor.fill(0); weight.fill(0);
      for (const bin of some) {
        const ratio = measured[bin] / Math.max(seen(spectrum, bin), 1e-15), line = leakage[bin];
        for (let r = from[bin]; r < to[bin]; r++) { factor[r] += line[r] * ratio; weight[r] += line[r]; }
      }
      for (let r = 0; r < RADII; r++) if (weight[r] > LEAST_WEIGHT) spectrum[r] *= factor[r] / weight[r];
    }
    return spectrum;
  }
}
