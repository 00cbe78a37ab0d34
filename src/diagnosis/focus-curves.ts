import type { FocusCurves } from '../contract/report.js';
import { energyAt } from '../ladder/focus-curve.js';
import type { StackPicture } from './stack-picture.js';

/**
 * Measured fine-band sharpness of every usable tile, relative to its fitted in-focus amplitude, and the fitted curve beside it.
 *
 * @param toFrame frame numbers of the solve to those of the report
 * @param frames in the report
 */
export function focusCurves(picture: StackPicture, toFrame: readonly number[], frames: number): FocusCurves {
  const { stack, ladder, tiles, depth, perWaveDof, position } = picture, curve = ladder.curves[0];
  const tile: number[] = [], amplitude: (number | null)[][] = [];
  const energy = stack.energy[0], noise = stack.noise[0];
  for (let t = 0; t < depth.length; t++) {
    if (!tiles.usable[t] || Number.isNaN(depth[t])) continue;
    const measured = Float64Array.from({ length: stack.frames }, (_, k) => Math.sqrt(Math.max(0, energy[t * stack.frames + k] - noise[k])));
    let sum = 0, square = 0;
    for (let k = 0; k < stack.frames; k++) {
      const h2 = energyAt(curve, 0, (position[k] - depth[t]) / perWaveDof);
      sum += measured[k] * Math.sqrt(h2);
      square += h2;
    }
    const peak = sum / Math.max(square, 1e-6);
    const row = new Array<number | null>(frames).fill(null);
    toFrame.forEach((frame, k) => { row[frame] = peak > 0 ? Math.round((1000 * measured[k]) / peak) / 1000 : null; });
    tile.push(t);
    amplitude.push(row);
  }
  const defocusDof = Array.from({ length: 121 }, (_, i) => (i - 60) * 0.05);
  return { tile, amplitude, fitted: { defocusDof, amplitude: defocusDof.map((d) => Math.round(1000 * Math.sqrt(energyAt(curve, 0, d / perWaveDof))) / 1000) } };
}
