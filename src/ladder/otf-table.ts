import { fastSquares } from './fast-focus-curve.js';
import { gaussLegendre } from './gauss-legendre.js';

/** Largest defocus that focus curves are tabulated to, in ladder units. */
export const DEFOCUS_MAX = 12;
export const DEFOCUS_STEP = 0.02;
export const DEFOCUS_COUNT = Math.round(DEFOCUS_MAX / DEFOCUS_STEP) + 1;

const FREQUENCIES = 112;
/** Lowest s at a unit of 1; coarse pixels put all bands lower. */
const LOWEST = 0.008;

/** Squared OTF on a grid that is logarithmic in s = f/f_c and even in defocus: the same for every lens and ladder unit. */
export interface OtfTable {
  /** Frequency over cutoff, ascending, evenly spaced in ln s. */
  s: Float64Array;
  lnStep: number;
  /** s × defocus (0, 0.02 … 12 ladder units): OTF². */
  squared: Float64Array;
  /** Where the line of the nearest frequency starts in `squared`. */
  lineOf(ratio: number): number;
}

/** Made once a unit; trying cutoffs needs a handful. */
const made = new Map<number, OtfTable>();
const MOST_KEPT = 8;

/**
 * The exact defocused OTF (formula and source: optics/defocused-otf.ts) by 64-point Gauss–Legendre quadrature; W = unit · defocus/2 waves.
 *
 * @param unit λ/NA² per ladder unit
 */
export function otfTable(unit: number): OtfTable {
  const key = Math.round(unit * 1e4), known = made.get(key);
  if (known) return known;
  const { nodes, weights } = gaussLegendre(64);
  const lowest = LOWEST / Math.max(1, unit), lnStep = -Math.log(lowest) / FREQUENCIES;
  const s = Float64Array.from({ length: FREQUENCIES }, (_, i) => lowest * Math.exp(lnStep * (i + 0.5)));
  const shares = new Float64Array(FREQUENCIES * nodes.length), twices = new Float64Array(shares.length);
  for (let i = 0, k = 0; i < FREQUENCIES; i++) {
    const start = Math.asin(s[i]), halfRange = (Math.PI / 2 - start) / 2;
    for (let q = 0; q < nodes.length; q++, k++) {
      const t = start + halfRange * (nodes[q] + 1);
      shares[k] = (4 / Math.PI) * halfRange * weights[q] * Math.cos(t) ** 2;
      twices[k] = 2 * Math.cos(4 * Math.PI * s[i] * (Math.sin(t) - s[i]) * DEFOCUS_STEP * unit);
    }
  }
  const squared = fastSquares(shares, twices, FREQUENCIES, DEFOCUS_COUNT) ?? plainSquares(shares, twices);
  if (made.size >= MOST_KEPT) made.clear();
  const lnFirst = Math.log(s[0]);
  const lineOf = (ratio: number): number => DEFOCUS_COUNT * Math.min(FREQUENCIES - 1, Math.max(0, Math.round((Math.log(ratio) - lnFirst) / lnStep)));
  const table = { s, lnStep, squared, lineOf };
  made.set(key, table);
  return table;
}

/** Squares of each frequency's sum of cosines of 0, x, 2x, … @param shares what each is multiplied with; @param twices 2·cos x */
export function plainSquares(shares: Float64Array, twices: Float64Array): Float64Array {
  const squared = new Float64Array(FREQUENCIES * DEFOCUS_COUNT), nodes = shares.length / FREQUENCIES;
  for (let i = 0, k = 0; i < FREQUENCIES; i++) {
    const sum = squared.subarray(i * DEFOCUS_COUNT, (i + 1) * DEFOCUS_COUNT);
    for (let q = 0; q < nodes; q++, k++) {
      // cos((j+1)x) = 2·cos x·cos(jx) − cos((j−1)x): a product in place of a cosine, true to 1e−9 over the table's length.
      const share = shares[k], twice = twices[k];
      let before = twice / 2, here = 1;
      for (let j = 0; j < DEFOCUS_COUNT; j++) { sum[j] += share * here; const next = twice * here - before; before = here; here = next; }
    }
    for (let j = 0; j < DEFOCUS_COUNT; j++) sum[j] *= sum[j];
  }
  return squared;
}
