import { requirePositive } from './require-positive.js';

/**
 * Pixel pitch that counts when the picture is finally shown at a smaller width: each output pixel gathers several of the sensor's.
 *
 * @param pixelPitchUm of the sensor, above 0
 * @param frameWidthPx width of a frame as shot, above 0
 * @param outputWidthPx width of the final picture, or null for every pixel; enlarging adds no detail and changes nothing
 * @returns µm on the sensor per output pixel
 * @throws RangeError for values that are not positive
 */
export function outputPixelPitchUm(pixelPitchUm: number, frameWidthPx: number, outputWidthPx: number | null): number {
  requirePositive('pixel pitch', pixelPitchUm);
  if (outputWidthPx === null) return pixelPitchUm;
  requirePositive('frame width', frameWidthPx);
  requirePositive('output width', outputWidthPx);
  return pixelPitchUm * Math.max(1, frameWidthPx / outputWidthPx);
}
