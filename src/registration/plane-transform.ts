import FFT from 'fft.js';

/** Complex picture on a power-of-two grid; real and imaginary parts may carry two real pictures at once. */
export interface ComplexPlane { rows: number; columns: number; re: Float32Array; im: Float32Array }

interface Line { fft: FFT; from: number[]; to: number[] }
const lines = new Map<number, Line>();
function lineOf(length: number): Line {
  let line = lines.get(length);
  if (!line) {
    const fft = new FFT(length);
    lines.set(length, line = { fft, from: fft.createComplexArray(), to: fft.createComplexArray() });
  }
  return line;
}

/** Fourier transform of both axes in place; `inverse` undoes it. */
export function transformPlane({ rows, columns, re, im }: ComplexPlane, inverse: boolean): void {
  pass(columns, rows, columns, 1, re, im, inverse);
  pass(rows, columns, 1, columns, re, im, inverse);
}

function pass(length: number, count: number, lineStride: number, stride: number, re: Float32Array, im: Float32Array, inverse: boolean): void {
  const { fft, from, to } = lineOf(length);
  for (let line = 0; line < count; line++) {
    for (let i = 0, p = line * lineStride; i < length; i++, p += stride) { from[2 * i] = re[p]; from[2 * i + 1] = im[p]; }
    if (inverse) fft.inverseTransform(to, from); else fft.transform(to, from);
    for (let i = 0, p = line * lineStride; i < length; i++, p += stride) { re[p] = to[2 * i]; im[p] = to[2 * i + 1]; }
  }
}
