import type { LumaPlane } from './luma-plane.js';

/** BT.709 / sRGB weights of linear light (IEC 61966-2-1). */
const WEIGHTS = [0.2126, 0.7152, 0.0722] as const;
/** From this share of full scale a channel counts as clipped: JPEG ringing leaves a blown highlight at 252…255. */
const CLIP_LEVEL = 252 / 255;

/** sRGB decoding (IEC 61966-2-1): code value 0…1 to linear light 0…1. */
export function linearFromSrgb(code: number): number {
  return code <= 0.04045 ? code / 12.92 : ((code + 0.055) / 1.055) ** 2.4;
}

const tables = new Map<string, Float32Array>();
function weightedTable(levels: number, weight: number): Float32Array {
  const key = `${levels}/${weight}`;
  let table = tables.get(key);
  if (!table) {
    table = Float32Array.from({ length: levels }, (_, i) => weight * linearFromSrgb(i / (levels - 1)));
    tables.set(key, table);
  }
  return table;
}

/** Linear light of every code, weighted for red, green and blue (grey: the first alone) and by 1/bin². */
export function luminanceTables(levels: number, channels: number, bin: number): [Float32Array, Float32Array, Float32Array] {
  const share = 1 / (bin * bin);
  return [weightedTable(levels, channels >= 3 ? WEIGHTS[0] * share : share), weightedTable(levels, WEIGHTS[1] * share), weightedTable(levels, WEIGHTS[2] * share)];
}

/** Lowest code that counts as clipped. */
export function clipCodeOf(levels: number): number { return Math.ceil(CLIP_LEVEL * (levels - 1)); }

/**
 * Linear luminance of sRGB pixels, averaged over bin × bin squares in linear light.
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
  const colour = channels >= 3;
  const [red, green, blue] = luminanceTables(levels, channels, bin);
  for (let row = 0; row < outRows * bin; row++) {
    let from = row * columns * channels;
    const to = Math.floor(row / bin) * outColumns;
    for (let column = 0; column < outColumns; column++) {
      let sum = 0, clip = 0;
      for (let i = 0; i < bin; i++, from += channels) {
        const r = pixels[from];
        if (colour) {
          const g = pixels[from + 1], b = pixels[from + 2];
          sum += red[r] + green[g] + blue[b];
          if (r >= clipCode || g >= clipCode || b >= clipCode) clip = 1;
        } else {
          sum += red[r];
          if (r >= clipCode) clip = 1;
        }
      }
      luminance[to + column] += sum;
      clipped[to + column] |= clip;
    }
  }
  return { rows: outRows, columns: outColumns, luminance, clipped };
}
