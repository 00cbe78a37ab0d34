import type { Random } from '../render/random.js';
import { cellPattern } from './cell-pattern.js';
import { spectralNoise } from './spectral-noise.js';

export type TextureKind = 'noise' | 'facets' | 'striated' | 'grains' | 'sparse';
export const TEXTURE_KINDS: readonly TextureKind[] = ['noise', 'facets', 'striated', 'grains', 'sparse'];

export interface TextureSpec {
  kind: TextureKind;
  /** Amplitude slope of the fine detail, 0.8 … 1.8. */
  slope: number;
  /** Relative contrast of the fine detail (standard deviation of ln light). */
  contrast: number;
}

/**
 * Linear reflected light, mean about 0.25, on a grid that wraps around.
 * @param scale grid points per picture pixel: patterns keep their size in the picture
 */
export function textureLight(spec: TextureSpec, rows: number, columns: number, scale: number, random: Random): Float32Array {
  const fine = spectralNoise(rows, columns, spec.slope, random, 12);
  const log = fine.map((v) => spec.contrast * v);
  const add = (plane: Float32Array, gain: number) => { for (let i = 0; i < log.length; i++) log[i] += gain * plane[i]; };
  if (spec.kind === 'facets' || spec.kind === 'striated') {
    const cells = cellPattern(rows, columns, 46 * scale, random);
    add(cells.shade, 0.22);
    if (spec.kind === 'striated') add(striation(cells.angle, cells.phase, rows, columns, scale), 0.16);
  }
  if (spec.kind === 'grains') {
    const cells = cellPattern(rows, columns, 6 * scale, random);
    add(cells.shade, 0.3);
  }
  if (spec.kind === 'sparse') {
    // Detail comes in patches: between them the surface is nearly smooth.
    const patches = spectralNoise(rows, columns, 1.6, random, 4, 6 * scale);
    for (let i = 0; i < log.length; i++) log[i] *= 0.12 + 1.5 / (1 + Math.exp(-4 * (patches[i] - 0.6)));
  }
  return log.map((v) => 0.25 * Math.exp(Math.max(-2.5, Math.min(1.2, v))));
}

/** Growth lines: a few unequal periods along each facet's own direction. */
function striation(angle: Float32Array, phase: Float32Array, rows: number, columns: number, scale: number): Float32Array {
  const out = new Float32Array(rows * columns);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const i = row * columns + column;
      const along = (row * Math.sin(angle[i]) + column * Math.cos(angle[i])) / scale;
      out[i] = Math.sin(along * 1.1 + 6 * phase[i]) + 0.7 * Math.sin(along * 0.47 + 3 * phase[i]) + 0.5 * Math.sin(along * 0.21);
    }
  }
  return out;
}
