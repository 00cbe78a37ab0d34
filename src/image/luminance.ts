import type { LumaPlane } from './luma-plane.js';

/** Weights of luma, of sRGB codes (ITU-R BT.601; the Y of JPEG, ITU-T T.871). */
export const LUMA = [0.299, 0.587, 0.114] as const;
/** From this share of full scale a channel counts as clipped: JPEG ringing leaves a blown highlight at 252…255. */
const CLIP_LEVEL = 252 / 255;

/** sRGB decoding (IEC 61966-2-1): code value 0…1 to linear light 0…1. */
export function linearFromSrgb(code: number): number {
  return code <= 0.04045 ? code / 12.92 : ((code + 0.055) / 1.055) ** 2.4;
}

/** Parts that the scale of codes is cut into where its light is looked up; straight lines between them are off by less than 3e-8. */
const PARTS = 4096;
let lights: Float64Array | null = null;

/** As {@link linearFromSrgb}, looked up. */
function lightOf(code: number): number {
  lights ??= Float64Array.from({ length: PARTS + 2 }, (_, i) => linearFromSrgb(i / PARTS));
  const at = code * PARTS, i = Math.floor(at), below = lights[i];
  return below + (at - i) * (lights[i + 1] - below);
}

/** Lowest code that counts as clipped. */
export function clipCodeOf(levels: number): number { return Math.ceil(CLIP_LEVEL * (levels - 1)); }

/**
 * Linear light of the luma of sRGB pixels, averaged over bin × bin squares. Luma of one hue goes with its luminance, and it is what a JPEG file holds at full
 * resolution: colour is stored by half of it, and taking it up would cost as much again as what it adds to detail is worth.
 *
 * @param pixels interleaved samples, rows × columns × channels, 8 or 16 bit sRGB; a fourth channel is ignored
 * @param rows, columns size of the picture in pixels
 * @param channels 1 (grey), 2 (grey, alpha), 3 (RGB) or 4 (RGB, alpha)
 * @param bin source pixels per measured pixel and axis, 1 or more; rows and columns left over at the edge are dropped
 * @throws RangeError where the sizes don't fit together
 */
export function luminanceFromPixels(pixels: Uint8Array | Uint8ClampedArray | Uint16Array, rows: number, columns: number, channels: number, bin: number): LumaPlane {
  if (pixels.length < rows * columns * channels) throw new RangeError(`expected ${rows}×${columns}×${channels} samples, got ${pixels.length}`);
  const outRows = Math.floor(rows / bin), outColumns = Math.floor(columns / bin);
  if (!(outRows > 0 && outColumns > 0)) throw new RangeError(`a picture of ${columns}×${rows} pixels can't be binned by ${bin}`);
  const levels = pixels instanceof Uint16Array ? 65536 : 256;
  const clipCode = clipCodeOf(levels);
  const luminance = new Float32Array(outRows * outColumns), clipped = new Uint8Array(outRows * outColumns);
  const colour = channels >= 3, share = 1 / ((levels - 1) * bin * bin), [red, green, blue] = LUMA;
  for (let row = 0; row < outRows * bin; row++) {
    let from = row * columns * channels;
    const to = Math.floor(row / bin) * outColumns;
    for (let column = 0; column < outColumns; column++) {
      let sum = 0, clip = 0;
      for (let i = 0; i < bin; i++, from += channels) {
        const r = pixels[from];
        if (colour) {
          const g = pixels[from + 1], b = pixels[from + 2];
          sum += red * r + green * g + blue * b;
          if (r >= clipCode || g >= clipCode || b >= clipCode) clip = 1;
        } else {
          sum += r;
          if (r >= clipCode) clip = 1;
        }
      }
      luminance[to + column] += sum;
      clipped[to + column] |= clip;
    }
  }
  for (let i = 0; i < luminance.length; i++) luminance[i] = lightOf(luminance[i] * share);
  return { rows: outRows, columns: outColumns, luminance, clipped };
}
