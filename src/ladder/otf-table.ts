import { gaussLegendre } from './gauss-legendre.js';

/** Largest defocus that focus curves are tabulated to, in DOF. */
export const DEFOCUS_MAX = 12;
export const DEFOCUS_STEP = 0.02;
export const DEFOCUS_COUNT = Math.round(DEFOCUS_MAX / DEFOCUS_STEP) + 1;

const FREQUENCIES = 112;
const LOWEST = 0.008;

/** Squared OTF on a grid that is logarithmic in s = f/f_c and even in defocus: the same for every lens, so made once. */
export interface OtfTable {
  /** Frequency over cutoff, ascending, evenly spaced in ln s. */
  s: Float64Array;
  lnStep: number;
  /** s × defocus (0, 0.02 … 12 DOF): OTF². */
  squared: Float64Array;
}

let made: OtfTable | null = null;

/** The exact defocused OTF (formula and source: optics/defocused-otf.ts) by 64-point Gauss–Legendre quadrature; W = defocus/2 waves. */
export function otfTable(): OtfTable {
  if (made) return made;
  const { nodes, weights } = gaussLegendre(64);
  const lnStep = -Math.log(LOWEST) / FREQUENCIES;
  const s = Float64Array.from({ length: FREQUENCIES }, (_, i) => LOWEST * Math.exp(lnStep * (i + 0.5)));
  const squared = new Float64Array(FREQUENCIES * DEFOCUS_COUNT);
  const rate = new Float64Array(nodes.length), share = new Float64Array(nodes.length);
  for (let i = 0; i < FREQUENCIES; i++) {
    const start = Math.asin(s[i]), halfRange = (Math.PI / 2 - start) / 2;
    for (let q = 0; q < nodes.length; q++) {
      const t = start + halfRange * (nodes[q] + 1);
      share[q] = (4 / Math.PI) * halfRange * weights[q] * Math.cos(t) ** 2;
      rate[q] = 4 * Math.PI * s[i] * (Math.sin(t) - s[i]) * DEFOCUS_STEP;
    }
    for (let j = 0; j < DEFOCUS_COUNT; j++) {
      let sum = 0;
      for (let q = 0; q < nodes.length; q++) sum += share[q] * Math.cos(rate[q] * j);
      squared[i * DEFOCUS_COUNT + j] = sum * sum;
    }
  }
  made = { s, lnStep, squared };
  return made;
}
