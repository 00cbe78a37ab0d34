import FFT from 'fft.js';

/** Taper at each edge, as a share of the edge: a Hann window over the whole picture locks onto its middle. */
const TAPER = 0.08;
/** Only low frequencies, cycles per pixel of the registration picture: the ones no defocus reverses. */
const PASS = 0.1;

/** Complex spectrum of a tapered picture on a power-of-two grid. */
export interface PictureSpectrum { rows: number; columns: number; re: Float32Array; im: Float32Array }

function powerOfTwo(n: number): number { return 2 ** Math.ceil(Math.log2(Math.max(4, n))); }

function taper(i: number, n: number): number {
  const x = Math.min(1, Math.min(i + 0.5, n - i - 0.5) / (TAPER * n));
  return x * x * (3 - 2 * x);
}

/** Both axes of a complex picture in place; `inverse` undoes it. */
function transform2d(rows: number, columns: number, re: Float32Array, im: Float32Array, inverse: boolean): void {
  const pass = (length: number, lines: number, at: (line: number, i: number) => number) => {
    const fft = new FFT(length), from = fft.createComplexArray(), to = fft.createComplexArray();
    for (let line = 0; line < lines; line++) {
      for (let i = 0; i < length; i++) { const p = at(line, i); from[2 * i] = re[p]; from[2 * i + 1] = im[p]; }
      if (inverse) fft.inverseTransform(to, from); else fft.transform(to, from);
      for (let i = 0; i < length; i++) { const p = at(line, i); re[p] = to[2 * i]; im[p] = to[2 * i + 1]; }
    }
  };
  pass(columns, rows, (row, i) => row * columns + i);
  pass(rows, columns, (column, i) => i * columns + column);
}

export function pictureSpectrum(pixels: Float32Array, rows: number, columns: number): PictureSpectrum {
  const gridRows = powerOfTwo(rows), gridColumns = powerOfTwo(columns);
  const re = new Float32Array(gridRows * gridColumns), im = new Float32Array(re.length);
  for (let r = 0; r < rows; r++) { const wr = taper(r, rows); for (let c = 0; c < columns; c++) re[r * gridColumns + c] = pixels[r * columns + c] * wr * taper(c, columns); }
  transform2d(gridRows, gridColumns, re, im, false);
  return { rows: gridRows, columns: gridColumns, re, im };
}

/** Whole-picture displacement of b against a by phase correlation (Kuglin & Hines 1975), to the nearest pixel. */
export function coarseShift(a: PictureSpectrum, b: PictureSpectrum): { row: number; column: number } {
  const { rows, columns } = a, re = new Float32Array(a.re.length), im = new Float32Array(re.length);
  for (let r = 0; r < rows; r++) for (let c = 0; c < columns; c++) {
    const i = r * columns + c, fr = (r > rows / 2 ? r - rows : r) / rows, fc = (c > columns / 2 ? c - columns : c) / columns;
    const x = a.re[i] * b.re[i] + a.im[i] * b.im[i], y = a.re[i] * b.im[i] - a.im[i] * b.re[i];
    const pass = Math.exp(-0.5 * ((fr * fr + fc * fc) / PASS ** 2)) / Math.max(Math.hypot(x, y), 1e-12);
    re[i] = x * pass; im[i] = y * pass;
  }
  transform2d(rows, columns, re, im, true);
  let best = 0;
  for (let i = 1; i < re.length; i++) if (re[i] > re[best]) best = i;
  const r = Math.floor(best / columns), c = best % columns;
  return { row: r > rows / 2 ? r - rows : r, column: c > columns / 2 ? c - columns : c };
}
