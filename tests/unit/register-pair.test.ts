import { describe, expect, it } from 'vitest';
import { registerPair } from '../../src/registration/register-pair.js';
import { applySimilarity, IDENTITY, type Similarity } from '../../src/registration/similarity.js';
import { Random } from '../helpers/render/random.js';

const SIZE = 320;

/** A sum of waves can be drawn at any place exactly, so the true move is known without any interpolation. Amplitudes fall as 1/f, as in pictures. */
function picture(move: Similarity): { rows: number; columns: number; pixels: Float32Array; spectra: Map<number, Float32Array> } {
  const random = new Random(11);
  const waves = Array.from({ length: 500 }, () => {
    const frequency = 0.05 * Math.exp(random.between(0, Math.log(6))), angle = random.between(0, 2 * Math.PI);
    return { row: frequency * Math.sin(angle), column: frequency * Math.cos(angle), phase: random.between(0, 2 * Math.PI), amplitude: 0.05 / frequency };
  });
  const inverse = { turn: -move.turn, lnScale: -move.lnScale, row: 0, column: 0 };
  const pixels = new Float32Array(SIZE * SIZE), centre = (SIZE - 1) / 2;
  for (let r = 0; r < SIZE; r++) for (let c = 0; c < SIZE; c++) {
    const from = applySimilarity(inverse, r - centre - move.row, c - centre - move.column);
    let sum = 0;
    for (const w of waves) sum += w.amplitude * Math.cos(2 * Math.PI * (w.row * from.row + w.column * from.column) + w.phase);
    pixels[r * SIZE + c] = sum;
  }
  return { rows: SIZE, columns: SIZE, pixels, spectra: new Map() };
}

describe('registerPair', () => {
  // A Hann window that stays in place while its content moves finds displacements 4 to 7 % too small; the limits here are a third of that.
  it.each([
    ['a small growth', { ...IDENTITY, lnScale: 0.006 }],
    ['a move of less than a pixel', { ...IDENTITY, row: 0.45, column: -0.4 }],
    ['a turn', { ...IDENTITY, turn: 0.005 }],
    ['all at once', { row: 2.3, column: -1.4, turn: 0.004, lnScale: -0.005 }],
  ])('finds %s in full (closed form: waves drawn where they are)', (_, move) => {
    const fit = registerPair(picture(IDENTITY), picture(move), [IDENTITY])!;
    expect(Math.abs(fit.similarity.row - move.row)).toBeLessThan(0.02);
    expect(Math.abs(fit.similarity.column - move.column)).toBeLessThan(0.02);
    expect(Math.abs(fit.similarity.turn - move.turn)).toBeLessThan(0.0001);
    expect(Math.abs(fit.similarity.lnScale - move.lnScale)).toBeLessThan(0.0001);
  });
});
