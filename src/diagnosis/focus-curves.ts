import type { BandCurves, FocusCurves } from '../contract/report.js';
import { energyAt } from '../ladder/focus-curve.js';
import { spectrumCurves } from './spectrum-curves.js';
import type { StackPicture } from './stack-picture.js';

const thousandths = (value: number): number => Math.round(1000 * value) / 1000;

/**
 * Measured sharpness of every usable tile in each band, relative to its fitted in-focus amplitude, and the fitted curves beside it.
 *
 * @param toFrame frame numbers of the solve to those of the report
 * @param frames in the report
 */
export function focusCurves(picture: StackPicture, toFrame: readonly number[], frames: number): FocusCurves {
  const { tiles, depth, ladder } = picture;
  const tile = [...depth.keys()].filter((t) => tiles.usable[t] && !Number.isNaN(depth[t]));
  const [fine, ...coarser] = ladder.curves.map((_, band) => bandCurves(picture, band, tile, toFrame, frames));
  return { tile, ...fine, coarser, spectrum: spectrumCurves(picture.stack, toFrame, frames) };
}

function bandCurves({ stack, ladder, depth, perUnit, position }: StackPicture, band: number, tile: readonly number[], toFrame: readonly number[], frames: number): BandCurves {
  const curve = ladder.curves[band], energy = stack.energy[band], noise = stack.noise[band];
  const amplitude = tile.map((t) => {
    const measured = Float64Array.from({ length: stack.frames }, (_, k) => Math.sqrt(Math.max(0, energy[t * stack.frames + k] - noise[k])));
    let sum = 0, square = 0;
    for (let k = 0; k < stack.frames; k++) {
      const h2 = energyAt(curve, 0, (position[k] - depth[t]) / perUnit);
      sum += measured[k] * Math.sqrt(h2);
      square += h2;
    }
    const peak = sum / Math.max(square, 1e-6);
    const row = new Array<number | null>(frames).fill(null);
    toFrame.forEach((frame, k) => { row[frame] = peak > 0 ? thousandths(measured[k] / peak) : null; });
    return row;
  });
  const defocusDof = Array.from({ length: 121 }, (_, i) => thousandths((i - 60) * 0.05 * 2 ** band));
  return { amplitude, fitted: { defocusDof, amplitude: defocusDof.map((d) => thousandths(Math.sqrt(energyAt(curve, 0, d / perUnit)))) } };
}
