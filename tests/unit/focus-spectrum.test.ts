import { describe, expect, it } from 'vitest';
import { cutoffBySpectrum } from '../../src/ladder/cutoff-by-spectrum.js';
import { focusSpectrum } from '../../src/ladder/focus-spectrum.js';
import { quietSpectrum } from '../../src/ladder/quiet-spectrum.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import { spectrumWindows } from '../../src/sharpness/spectrum-windows.js';
import { Random } from '../helpers/render/random.js';

const SIZE = 320, plan = { ...planMeasurement(SIZE, SIZE, 0.42), bands: planMeasurement(SIZE, SIZE, 0.42).bands.map((band) => ({ ...band, level: 0 })) };
/** In-focus MTF of a round pupil at s = 0.0 … 1.0: optics-reference's table (independent quadrature). */
const MTF = [1, 0.8729, 0.7471, 0.6238, 0.5046, 0.391, 0.2848, 0.1881, 0.1041, 0.0374, 0];
const mtf = (s: number): number => { if (s >= 1) return 0; const i = Math.floor(10 * s), f = 10 * s - i; return (1 - f) * MTF[i] + f * MTF[i + 1]; };

/** Waves of random directions whose power falls as f^−2.6, through a lens; and white noise. */
function picture(cutoff: number, contrast: number, noise: number, seed: number): Float32Array {
  const random = new Random(seed), out = Float32Array.from({ length: SIZE * SIZE }, () => 1 + noise * random.normal());
  for (let n = 0; n < 260; n++) {
    const f = 0.01 * 45 ** ((n + 0.5) / 260), angle = random.between(0, Math.PI), phase = random.between(0, 2 * Math.PI), row = 2 * Math.PI * f * Math.sin(angle), column = 2 * Math.PI * f * Math.cos(angle);
    const amplitude = contrast * 0.004 * f ** -0.3 * mtf(f / cutoff);
    if (amplitude > 0) for (let r = 0, i = 0; r < SIZE; r++) for (let c = 0; c < SIZE; c++, i++) out[i] += amplitude * Math.sin(row * r + column * c + phase);
  }
  return out;
}
const spectra = (cutoff: number) => [1, 0].map((contrast) => [spectrumWindows(picture(cutoff, contrast, 0.002, 3 + contrast), SIZE, SIZE, 1)]);

describe('the spectrum of what is in focus', () => {
  it('ends where the lens does: early ends are found, late ones left to the plan', () => {
    for (const cutoff of [0.1, 0.15, 0.2]) {
      const found = cutoffBySpectrum(focusSpectrum(plan, spectra(cutoff))!, 0.42);
      // One trial value off at most: they lie 1.4 times apart, and windows of 32 pixels leak a bin further than the spectrum goes.
      expect(Math.abs(Math.log(found! / cutoff))).toBeLessThan(0.37);
    }
    for (const cutoff of [0.42, 0.9]) expect(cutoffBySpectrum(focusSpectrum(plan, spectra(cutoff))!, 0.42)).toBeNull();
  });
  it('shows the noise at its finest where nothing is in focus', () => {
    // Variance of the noise put in. Two bins of a window hold about 22 independent components, a standard deviation of a fifth: the quietest twentieth reads a third low.
    expect(quietSpectrum(plan, spectra(0.2))! / 0.002 ** 2).toBeGreaterThan(0.5);
    expect(quietSpectrum(plan, spectra(0.2))! / 0.002 ** 2).toBeLessThan(1.05);
  });
});
