import sharp, { type Sharp } from 'sharp';

/** Repeatable noise, 0…1 (Marsaglia's xorshift32, its state mixed first so that neighbouring seeds share nothing). */
export function noise(seed: number): () => number {
  let state = Math.imul(seed ^ 0x9e3779b9, 0x85ebca6b) >>> 0 || 1;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state = (state ^ (state << 5)) >>> 0;
    return state / 2 ** 32;
  };
}

/** A picture of 8-bit RGB noise, for files whose content does not matter but must not be flat. */
export function noisePicture(columns: number, rows: number, seed = 1): Sharp {
  const random = noise(seed);
  const pixels = Uint8Array.from({ length: columns * rows * 3 }, () => 256 * random());
  return sharp(pixels, { raw: { width: columns, height: rows, channels: 3 } });
}
