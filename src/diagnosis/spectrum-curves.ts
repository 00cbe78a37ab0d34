import type { SpectrumCurves } from '../contract/report.js';
import type { TileStack } from '../ladder/tile-stack.js';
import { bandResponse } from '../sharpness/band-response.js';
import { halvingPower } from '../sharpness/halving-power.js';

/** High frequencies begin at this share of the lens's cutoff: where defocus of one DOF first shows. */
const HIGH_SHARE = 0.2;

/**
 * High-frequency energy of each FFT window in each frame, from a fifth of the cutoff up to the cutoff (or the limit of the fine band's picture); the noise
 * that the fine band sees is taken off as white noise.
 *
 * @param toFrame frame numbers of the solve to those of the report
 */
export function spectrumCurves(stack: TileStack, toFrame: readonly number[], frames: number): SpectrumCurves {
  const { plan } = stack, { level } = plan.bands[0], windows = stack.spectra.map((levels) => levels[level]!), { bins, sizePx, row, column } = windows[0], scale = 2 ** level;
  const whiteGain = bandResponse(plan.bands[0]).noiseGain;
  const high = Array.from({ length: bins }, (_, i) => i).filter((i) => {
    const frequency = (i + 0.5) / (2 * bins) / scale;
    return frequency >= HIGH_SHARE * plan.cutoff && frequency <= plan.cutoff;
  });
  const amplitude = Array.from(row, (_, w) => {
    const found = new Array<number | null>(frames).fill(null);
    windows.forEach(({ power }, k) => {
      const exposure = Math.exp(-2 * stack.gain[k]), noise = stack.noise[0][k] / whiteGain;
      // Rings of frequencies: each bin stands for an area that grows with its radius.
      const energy = high.reduce((sum, i) => sum + (2 * i + 1) * (power[w * bins + i] * exposure - noise * halvingPower(level, (i + 0.5) / (2 * bins) / scale)), 0);
      found[toFrame[k]] = Math.sqrt(Math.max(0, energy));
    });
    const most = Math.max(1e-12, ...found.map((v) => v ?? 0));
    return found.map((v) => (v === null ? null : Math.round((1000 * v) / most) / 1000));
  });
  const inFrame = (centres: Float32Array): number[] => Array.from(centres, (v) => v * scale * plan.bin);
  return { sizePx: sizePx * scale * plan.bin, row: inFrame(row), column: inFrame(column), amplitude };
}
