import { bandFrequencies } from './window-spectrum.js';

export interface PhaseShift { row: number; column: number; /** 0…1: how well one displacement explains all phases. */ coherence: number }

const { row: rowFrequency, column: columnFrequency, count } = bandFrequencies;
const TURN = 2 * Math.PI;
const phase = new Float64Array(count), weight = new Float64Array(count);

/**
 * Displacement of window b against window a from the slope of the cross spectrum's phase (the shift theorem; Kuglin & Hines 1975),
 * by weighted least squares. Frequencies whose contrast one frame has lost or reversed don't fit the slope and lose their weight.
 *
 * @param expected displacement that is taken out first, so that the phases don't wrap
 * @returns displacement beyond `expected`, pixels
 */
export function phaseShift(a: Float32Array, b: Float32Array, expectedRow: number, expectedColumn: number): PhaseShift {
  let total = 0;
  for (let i = 0; i < count; i++) {
    const re = a[2 * i] * b[2 * i] + a[2 * i + 1] * b[2 * i + 1], im = a[2 * i] * b[2 * i + 1] - a[2 * i + 1] * b[2 * i];
    phase[i] = Math.atan2(im, re) + TURN * (rowFrequency[i] * expectedRow + columnFrequency[i] * expectedColumn);
    total += weight[i] = Math.sqrt(re * re + im * im);
  }
  let row = 0, column = 0;
  const residual = (i: number): number => {
    const q = phase[i] + TURN * (rowFrequency[i] * row + columnFrequency[i] * column);
    return q - TURN * Math.round(q / TURN);
  };
  for (let pass = 0; pass < 3; pass++) {
    let rr = 0, cc = 0, rc = 0, br = 0, bc = 0;
    for (let i = 0; i < count; i++) {
      const fr = rowFrequency[i], fc = columnFrequency[i], q = residual(i), w = weight[i] / (1 + q * q);
      rr += w * fr * fr; cc += w * fc * fc; rc += w * fr * fc;
      br -= w * fr * q; bc -= w * fc * q;
    }
    const determinant = (rr * cc - rc * rc) * TURN;
    if (!(determinant > 0)) break;
    row += (cc * br - rc * bc) / determinant;
    column += (rr * bc - rc * br) / determinant;
  }
  let along = 0, across = 0;
  for (let i = 0; i < count; i++) { const q = residual(i); along += weight[i] * Math.cos(q); across += weight[i] * Math.sin(q); }
  const coherence = total > 0 ? Math.hypot(along, across) / total : 0;
  return { row, column, coherence };
}
