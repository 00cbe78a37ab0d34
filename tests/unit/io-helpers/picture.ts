import sharp, { type Sharp } from 'sharp';

/** Repeatable noise, 0…1 (a linear congruential generator; constants from Numerical Recipes). */
export function noise(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

/** A picture of 8-bit RGB noise, for files whose content does not matter but must not be flat. */
export function noisePicture(columns: number, rows: number, seed = 1): Sharp {
  const random = noise(seed);
  const pixels = Uint8Array.from({ length: columns * rows * 3 }, () => 256 * random());
  return sharp(pixels, { raw: { width: columns, height: rows, channels: 3 } });
}
