import { transformPlane, type ComplexPlane } from './plane-transform.js';

/** Taper at each edge, as a share of the edge: a Hann window over the whole picture locks onto its middle. */
const TAPER = 0.08;
/** Only low frequencies, cycles per pixel of the registration picture: the ones no defocus reverses. */
const PASS = 0.1;

export interface RegistrationPicture { rows: number; columns: number; pixels: Int16Array }
export interface PixelShift { row: number; column: number }

/**
 * Whole-picture displacements against a reference by phase correlation (Kuglin & Hines 1975), to the nearest pixel. Pictures go through
 * the transform in pairs, one as the real part and one as the imaginary part of a complex picture, there and back; spectra are not kept.
 */
export class CoarseShift {
  private readonly rows: number;
  private readonly columns: number;
  private readonly reference: ComplexPlane;
  private readonly pair: ComplexPlane;
  private readonly pass: Float32Array;
  private readonly taperRow: Float64Array;
  private readonly taperColumn: Float64Array;

  constructor(reference: RegistrationPicture) {
    const rows = this.rows = powerOfTwo(reference.rows), columns = this.columns = powerOfTwo(reference.columns);
    this.taperRow = Float64Array.from({ length: reference.rows }, (_, i) => taper(i, reference.rows));
    this.taperColumn = Float64Array.from({ length: reference.columns }, (_, i) => taper(i, reference.columns));
    this.pair = { rows, columns, re: new Float32Array(rows * columns), im: new Float32Array(rows * columns) };
    this.pass = new Float32Array(rows * columns);
    for (let r = 0, i = 0; r < rows; r++) for (let c = 0; c < columns; c++, i++) this.pass[i] = passOn(r, rows) * passOn(c, columns);
    this.fill(this.pair.re, reference);
    this.pair.im.fill(0);
    transformPlane(this.pair, false);
    this.reference = { rows, columns, re: this.pair.re.slice(), im: this.pair.im.slice() };
  }

  /** Displacements of two pictures of the reference's size; the second may be left out. */
  of(first: RegistrationPicture, second?: RegistrationPicture): [PixelShift, PixelShift] {
    const { pair, rows, columns } = this;
    this.fill(pair.re, first);
    if (second) this.fill(pair.im, second); else pair.im.fill(0);
    transformPlane(pair, false);
    this.correlate();
    transformPlane(pair, true);
    return [highestAt(pair.re, rows, columns), highestAt(pair.im, rows, columns)];
  }

  private fill(to: Float32Array, { rows, columns, pixels }: RegistrationPicture): void {
    to.fill(0);
    for (let r = 0; r < rows; r++) for (let c = 0; c < columns; c++) to[r * this.columns + c] = pixels[r * columns + c] * this.taperRow[r] * this.taperColumn[c];
  }

  /** Turns the pair's spectrum P = A + iB into X + iY, the whitened cross spectra of A and B with the reference: A and B follow from P at a frequency and its opposite. */
  private correlate(): void {
    const { rows, columns, pair: { re, im }, reference, pass } = this;
    for (let r = 0; r <= rows / 2; r++) for (let c = 0; c < columns; c++) {
      const i = r * columns + c, j = ((rows - r) % rows) * columns + ((columns - c) % columns);
      // Rows 0 and rows/2 hold their own opposites.
      if (j < i && (r === 0 || r === rows / 2)) continue;
      const aRe = (re[i] + re[j]) / 2, aIm = (im[i] - im[j]) / 2, bRe = (im[i] + im[j]) / 2, bIm = (re[j] - re[i]) / 2;
      const refRe = reference.re[i], refIm = reference.im[i], weight = pass[i];
      let xRe = refRe * aRe + refIm * aIm, xIm = refRe * aIm - refIm * aRe, yRe = refRe * bRe + refIm * bIm, yIm = refRe * bIm - refIm * bRe;
      const x = weight / Math.max(Math.sqrt(xRe * xRe + xIm * xIm), 1e-12), y = weight / Math.max(Math.sqrt(yRe * yRe + yIm * yIm), 1e-12);
      xRe *= x; xIm *= x; yRe *= y; yIm *= y;
      re[i] = xRe - yIm; im[i] = xIm + yRe;
      re[j] = xRe + yIm; im[j] = yRe - xIm;
    }
  }
}

/** Weight of an axis' i-th frequency of n; a frequency has the product of both axes'. */
export function passOn(i: number, n: number): number { return Math.exp(-0.5 * ((i > n / 2 ? i - n : i) / n / PASS) ** 2); }

/** The next power of two, 4 or more. */
export function powerOfTwo(n: number): number { return 2 ** Math.ceil(Math.log2(Math.max(4, n))); }

/** Weight of the i-th of n pixels of an axis. */
export function taper(i: number, n: number): number {
  const x = Math.min(1, Math.min(i + 0.5, n - i - 0.5) / (TAPER * n));
  return x * x * (3 - 2 * x);
}

/** The shift that the largest value of a cyclic correlation stands for. */
function highestAt(values: Float32Array, rows: number, columns: number): PixelShift {
  let best = 0;
  for (let i = 1; i < values.length; i++) if (values[i] > values[best]) best = i;
  return shiftAt(best, rows, columns);
}

export function shiftAt(place: number, rows: number, columns: number): PixelShift {
  const r = Math.floor(place / columns), c = place % columns;
  return { row: r > rows / 2 ? r - rows : r, column: c > columns / 2 ? c - columns : c };
}
