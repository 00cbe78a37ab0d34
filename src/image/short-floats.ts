/** Codes start at 2⁻⁵⁰ and end below 2¹⁴: 64 octaves of 1024 steps each. */
const BASE = (127 - 50) << 10;
/** Stands for what is no number. */
export const NOT_A_NUMBER = 65_535;

/**
 * Values in 16 bits each: the exponent and 10 bits of the mantissa of a single-precision number (IEEE 754), rounded.
 * Relative error at most 2⁻¹¹ (0.05 %) from 2⁻⁵⁰ to 2¹⁴; less becomes 0, more the largest, and what is no number stays none.
 *
 * @param values 0 or more
 */
export function shortFloats(values: Float32Array): Uint16Array {
  const bits = new Int32Array(values.buffer, values.byteOffset, values.length), codes = new Uint16Array(values.length);
  for (let i = 0; i < codes.length; i++) {
    const code = ((bits[i] + 0x1000) >> 13) - BASE;
    codes[i] = values[i] !== values[i] ? NOT_A_NUMBER : code < 0 ? 0 : code >= NOT_A_NUMBER ? NOT_A_NUMBER - 1 : code;
  }
  return codes;
}

/** The values back, into `out`, which is returned. */
export function fromShortFloats(codes: Uint16Array, out: Float32Array): Float32Array {
  const bits = new Int32Array(out.buffer, out.byteOffset, out.length);
  for (let i = 0; i < codes.length; i++) {
    const code = codes[i];
    bits[i] = code === 0 ? 0 : code === NOT_A_NUMBER ? 0x7fc00000 : (code + BASE) << 13;
  }
  return out;
}
