import { choleskyFactor, solveFactored } from '../image/cholesky.js';
import type { RefinedLadder } from './refine.js';
import type { SolveTiles } from './solve-tiles.js';
import type { TileStack } from './tile-stack.js';

/**
 * DOF of defocus that err alike, and how many such there are, half of them on either side of focus. Farther off mostly the first and the last frames stand, and nothing else tells
 * an error there from their positions.
 */
export const BIN_DOF = 0.5, BINS = 24;
/**
 * What is expected of an error that all tiles share: of a band at some defocus, in peak amplitudes, as a lens that is no perfect one, depths inside the tiles or the texture
 * make it; and of a band's noise, in shares of it. Found on rendered stacks: with more, ladders solved under another lens than the true one follow their errors.
 */
export const CURVE_ERROR = 0.03, NOISE_ERROR = 0.02;
/** Added to a tile's own normal matrix, as in the solve. */
export const WHISPER = 1e-6;

/** Normal equations of the shared errors, each in units of what is expected of it, once the tiles' own unknowns are eliminated. Patterns run band by band: a band's defocus bins, then its noise. */
export interface SharedSums {
  /** pattern × pattern. */
  normal: Float64Array;
  /** pattern × the solve's frame unknowns. */
  coupling: Float64Array;
  /** A pattern each. */
  right: Float64Array;
}

/** Sums of {@link SharedSums}, entry by entry in plain code: what the kernel is held to, and what runs where there is none. */
export function plainSharedSums(stack: Pick<TileStack, 'noise'>, tiles: SolveTiles, { trace, state, freeGain }: Pick<RefinedLadder, 'trace' | 'state' | 'freeGain'>): SharedSums {
  const { count, frames } = tiles, n = trace.unknowns, bands = tiles.energy.length, own = 1 + bands, each = BINS + 1, patterns = bands * each;
  const { coupling, tileNormal, robust, residual, sigma, byZ, byLnAmplitude } = trace.entries!;
  const sums: SharedSums = { normal: new Float64Array(patterns * patterns), coupling: new Float64Array(patterns * n), right: new Float64Array(patterns) };
  const ofTile = new Float64Array(patterns * own), solved = new Float64Array(patterns * own), touched = new Int32Array(patterns), isTouched = new Uint8Array(patterns), factor = new Float64Array(own * own);
  const slot = (b: number, k: number): number => (freeGain.includes(k) ? frames + b * freeGain.length + freeGain.indexOf(k) : -1);
  for (let t = 0; t < count; t++) {
    let some = 0;
    for (let b = 0; b < bands; b++) {
      const amplitude = Math.exp(state.lnAmplitude[b][t]), noisy = b * each + BINS;
      for (let k = 0, i = t * frames; k < frames; k++, i++) {
        const w = robust[b][i], s = sigma[b][i], off = residual[b][i];
        if (w === 0) continue;
        const model = Math.max(1e-9, Math.sqrt(tiles.energy[b][i]) - off * s), place = Math.floor((state.z[k] - state.depth[t]) / BIN_DOF) + BINS / 2, known = place >= 0 && place < BINS, curved = b * each + place;
        const curve = (CURVE_ERROR * amplitude) / s, noise = (NOISE_ERROR * stack.noise[b][k]) / (2 * model * s), free = slot(b, k);
        if (known) sums.normal[curved * patterns + noisy] += w * curve * noise;
        for (let p = known ? curved : noisy, error = known ? curve : noise; ; p = noisy, error = noise) {
          const pulled = w * error;
          if (!isTouched[p]) { isTouched[p] = 1; touched[some++] = p; }
          sums.normal[p * patterns + p] += pulled * error;
          sums.right[p] += pulled * off;
          sums.coupling[p * n + k] += pulled * byZ[b][i];
          if (free >= 0) sums.coupling[p * n + free] += pulled * byLnAmplitude[b][i];
          ofTile[p * own] -= pulled * byZ[b][i];
          ofTile[p * own + 1 + b] += pulled * byLnAmplitude[b][i];
          if (p === noisy) break;
        }
      }
    }
    for (let i = 0; i < own * own; i++) factor[i] = tileNormal[t * own * own + i];
    for (let i = 0; i < own; i++) factor[i * own + i] += WHISPER;
    choleskyFactor(factor, own);
    for (let m = 0; m < some; m++) {
      const p = touched[m];
      for (let i = 0; i < own; i++) solved[p * own + i] = ofTile[p * own + i];
      solveFactored(factor, 0, own, solved, p * own);
      for (let i = 0; i < own; i++) {
        const value = solved[p * own + i], from = (t * own + i) * n;
        for (let s = 0; s < n; s++) sums.coupling[p * n + s] -= value * coupling[from + s];
      }
      for (let l = 0; l <= m; l++) {
        const q = touched[l], place = Math.min(p, q) * patterns + Math.max(p, q);
        let taken = 0;
        for (let i = 0; i < own; i++) taken += solved[p * own + i] * ofTile[q * own + i];
        sums.normal[place] -= taken;
      }
    }
    for (let m = 0; m < some; m++) { isTouched[touched[m]] = 0; ofTile.fill(0, touched[m] * own, (touched[m] + 1) * own); }
  }
  mirror(sums.normal, patterns);
  return sums;
}

/** The upper triangle below the diagonal as well. */
export function mirror(matrix: Float64Array, size: number): void {
  for (let p = 0; p < size; p++) for (let q = 0; q < p; q++) matrix[p * size + q] = matrix[q * size + p];
}
