import type { TileMap } from '../contract/report.js';
import { defocusedOtf } from '../optics/defocused-otf.js';
import { referenceFrequencyRatio, standardDofFactor } from '../optics/standard-depth-of-field.js';
import type { Coverage } from './coverage.js';
import type { StackPicture } from './stack-picture.js';

const round = (value: number, digits: number): number => Math.round(value * 10 ** digits) / 10 ** digits;

/**
 * The map of the picture for the report.
 *
 * @param toFrame frame numbers of the solve to those of the report
 * @param outputCutoff cutoff in cycles per pixel of the picture that is judged
 */
export function tileMap(picture: StackPicture, cover: Coverage, toFrame: readonly number[], outputCutoff: number): TileMap {
  const { stack, depth } = picture, waveDof = standardDofFactor(outputCutoff), s = referenceFrequencyRatio(outputCutoff), inFocus = defocusedOtf(s, 0);
  // Contrast of the reference detail against defocus, on a grid of 0.01 report DOF: a tile needs no integral of its own.
  const lost = Array.from({ length: 400 }, (_, i) => 1 - Math.max(0, Math.min(1, defocusedOtf(s, i * 0.01 * waveDof / 2) / inFocus)));
  const known = (t: number): boolean => cover.bestFrame[t] >= 0;
  const tiles = depth.length;
  return {
    rows: stack.gridRows, columns: stack.gridColumns, tilePx: stack.tilePx * stack.plan.bin,
    depthDof: Array.from({ length: tiles }, (_, t) => (known(t) ? round(depth[t], 3) : null)),
    bestFrame: Array.from({ length: tiles }, (_, t) => (known(t) ? toFrame[cover.bestFrame[t]] : null)),
    contrastLoss: Array.from({ length: tiles }, (_, t) => (known(t) ? round(cover.distance[t] < 4 ? lost[Math.floor(cover.distance[t] * 100)] : 1, 3) : null)),
    state: cover.state,
  };
}
