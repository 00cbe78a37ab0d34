/** Memory the pixels in flight may take, so that the whole program stays below a gigabyte. */
const PIXEL_BUDGET_BYTES = 640e6;
/** Decoded samples, luminance, mask and pyramid of one frame, by source pixel (measured on 8-bit files, binned by two). */
const BYTES_PER_PIXEL = 8;

/**
 * How many frames to read at a time: as many as there are cores, frames, and memory for their pixels.
 * @param pixels size of one frame
 * @returns 1 or more
 */
export function poolSize(cores: number, frames: number, pixels: number): number {
  const fitting = Math.floor(PIXEL_BUDGET_BYTES / (BYTES_PER_PIXEL * Math.max(1, pixels)));
  return Math.max(1, Math.min(cores, frames, fitting));
}
