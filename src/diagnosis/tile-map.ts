import type { TileMap } from '../contract/report.js';
import { defocusedOtf } from '../optics/defocused-otf.js';
import { referenceFrequencyRatio, standardDofFactor } from '../optics/standard-depth-of-field.js';
import type { Coverage } from './coverage.js';
import type { StackPicture } from './stack-picture.js';

const thousandths = (value: number): number => Math.round(value * 1000) / 1000;

/**
 * The map of the picture for the report.
 *
 * @param toFrame frame numbers of the solve to those of the report
 * @param outputCutoff cutoff in cycles per pixel of the picture that is judged
 */
export function tileMap(picture: StackPicture, cover: Coverage, toFrame: readonly number[], outputCutoff: number): TileMap {
  const { stack, depth } = picture, waveDof = standardDofFactor(outputCutoff), s = referenceFrequencyRatio(outputCutoff), inFocus = defocusedOtf(s, 0);
  // Contrast of the reference detail against defocus, on a grid of 0.01 report DOF: a tile needs no integral of its own, nor does a defocus that none has.
  const known: number[] = [], lost = (i: number): number => known[i] ??= thousandths(1 - Math.max(0, Math.min(1, defocusedOtf(s, i * 0.01 * waveDof / 2) / inFocus)));
  const tiles = depth.length, depthDof = new Array<number | null>(tiles).fill(null), bestFrame = new Array<number | null>(tiles).fill(null), contrastLoss = new Array<number | null>(tiles).fill(null);
  for (let t = 0; t < tiles; t++) {
    const best = cover.bestFrame[t], distance = cover.distance[t];
    if (best < 0) continue;
    depthDof[t] = thousandths(depth[t]);
    bestFrame[t] = toFrame[best];
    contrastLoss[t] = distance < 4 ? lost(Math.floor(distance * 100)) : 1;
  }
  return {
    rows: stack.gridRows, columns: stack.gridColumns, tilePx: stack.tilePx * stack.plan.bin,
    depthDof, bestFrame, contrastLoss, state: cover.state,
  };
}
