// AssemblyScript: sRGB codes (0 … 255) to the root of linear light (IEC 61966-2-1), four at a time.

import { plus } from './fused';

/** Four of each: the codes' step and offset in t; the polynomial for s^0.4; square of the root's slope at the toe; the toe itself; the last code; where s is 0.65. */
const LIGHT: usize = memory.data<f32>([
  0.00371712666, 0.00371712666, 0.00371712666, 0.00371712666, 0.0521327014, 0.0521327014, 0.0521327014, 0.0521327014, 0.589414179, 0.589414179, 0.589414179, 0.589414179,
  -0.392577648, -0.392577648, -0.392577648, -0.392577648, 0.181856349, 0.181856349, 0.181856349, 0.181856349, -0.184702769, -0.184702769, -0.184702769, -0.184702769,
  0.197784558, 0.197784558, 0.197784558, 0.197784558, -0.239358068, -0.239358068, -0.239358068, -0.239358068, 0.517958343, 0.517958343, 0.517958343, 0.517958343, 0.841716647, 0.841716647, 0.841716647, 0.841716647,
  0.000303526984, 0.000303526984, 0.000303526984, 0.000303526984, 10.31475, 10.31475, 10.31475, 10.31475, 255, 255, 255, 255, 0.65, 0.65, 0.65, 0.65], 16);

/** Where the tone curve's straight part ends; below it, and beyond the last code, {@link rootWithin} knows nothing. */
@inline export function isDark(code: v128): v128 { return f32x4.le(code, v128.load(LIGHT, 176)); }

/**
 * Codes between the toe and the last. The root of t^2.4 is s²·s^0.4, s = √t, the latter by a polynomial in s − 0.65 (between the toe and 1; about the
 * middle rounding is least) with a relative error below 1.9e-6, a minimax fit.
 */
@inline export function rootWithin(code: v128): v128 {
  const t = plus(v128.load(LIGHT), code, v128.load(LIGHT, 16)), u = f32x4.sub(f32x4.sqrt(t), v128.load(LIGHT, 208));
  let p = plus(v128.load(LIGHT, 32), u, v128.load(LIGHT, 48));
  p = plus(p, u, v128.load(LIGHT, 64));
  p = plus(p, u, v128.load(LIGHT, 80));
  p = plus(p, u, v128.load(LIGHT, 96));
  p = plus(p, u, v128.load(LIGHT, 112));
  p = plus(p, u, v128.load(LIGHT, 128));
  p = plus(p, u, v128.load(LIGHT, 144));
  return f32x4.mul(p, t);
}

/** Any code; those beyond the range count as its ends. */
@inline export function rootOf(code: v128): v128 {
  const inside = f32x4.pmin(f32x4.pmax(code, f32x4.splat(0)), v128.load(LIGHT, 192)), root = rootWithin(inside), dark = isDark(inside);
  return v128.any_true(dark) ? v128.bitselect(f32x4.sqrt(f32x4.mul(v128.load(LIGHT, 160), inside)), root, dark) : root;
}
