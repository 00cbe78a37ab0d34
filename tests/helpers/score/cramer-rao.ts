import { choleskyFactor, choleskyInverse, solveFactored } from '../../../src/image/cholesky.js';
import type { SolvedLadder } from '../../../src/ladder/solve-ladder.js';
import type { TileStack } from '../../../src/ladder/tile-stack.js';

/**
 * Least covariance that any unbiased estimate of the frames' positions can have: the inverse of the Fisher information of independent normal errors, JᵀJ with
 * derivatives in sigmas, tiles eliminated (H. Cramér 1946, Mathematical Methods of Statistics, 32.3; C. R. Rao, Bull. Calcutta Math. Soc. 37, 1945).
 * The derivatives are the solve's own at its solution, with neither robust weights nor priors.
 *
 * @param errors `noise`: of the sensor's noise alone, as the stack knows it; `stated`: with the scatter of the model's own that the solve allows for
 * @returns frames × frames, ladder units; the ladder's own sliding is held, so that only differences mean anything
 */
export function cramerRaoBound(stack: TileStack, { trace, tiles, curves }: SolvedLadder, errors: 'noise' | 'stated'): Float64Array {
  const { robust, byZ, byLnAmplitude, sigma } = trace.entries!, { count, frames } = tiles, bands = curves.length, own = 1 + bands;
  const information = new Float64Array(frames * frames), block = new Float64Array(own * own), coupling = new Float64Array(own * frames), column = new Float64Array(own);
  let diagonal = 0;
  for (let t = 0; t < count; t++) {
    block.fill(0); coupling.fill(0);
    for (let b = 0; b < bands; b++) for (let k = 0; k < frames; k++) {
      const i = t * frames + k;
      if (robust[b][i] === 0) continue;
      const scale = errors === 'stated' ? 1 : sigma[b][i] / Math.sqrt(stack.noise[b][k] / stack.components[b]);
      const z = byZ[b][i] * scale, a = byLnAmplitude[b][i] * scale;
      information[k * frames + k] += z * z;
      diagonal += z * z;
      coupling[k] -= z * z;
      coupling[(1 + b) * frames + k] += z * a;
      block[0] += z * z;
      block[1 + b] -= z * a; block[(1 + b) * own] -= z * a;
      block[(1 + b) * (own + 1)] += a * a;
    }
    for (let i = 0; i < own; i++) block[i * (own + 1)] += 1e-9;
    choleskyFactor(block, own);
    for (let k = 0; k < frames; k++) {
      for (let i = 0; i < own; i++) column[i] = coupling[i * frames + k];
      solveFactored(block, 0, own, column);
      for (let j = 0; j < frames; j++) { let sum = 0; for (let i = 0; i < own; i++) sum += coupling[i * frames + j] * column[i]; information[j * frames + k] -= sum; }
    }
  }
  for (let i = 0; i < frames * frames; i++) information[i] += (1e-3 * diagonal) / frames;
  return choleskyInverse(information, frames);
}
