import { MOST_COPIED, withKernel } from './fast-kernel.js';
import { BLOCK_TILES, LIMIT_FACTOR, LIMIT_LEAST, QUIET_SHARE, strides, type TilePlanes, type Unexposed } from './plain-tile-stack.js';

/** plainUnexposed in SIMD WebAssembly; null, and nothing done, where there is none, no room, or a value is not a number. */
export function fastUnexposed({ energy, brightness, inside, gridRows, gridColumns, frames }: TilePlanes, trust: Float32Array): Unexposed | null {
  const tiles = gridRows * gridColumns, values = tiles * frames, { exposure, sample } = strides(tiles, frames);
  return values > MOST_COPIED ? null : withKernel(({ kernel, arena }) => {
    const planeAt = arena.take(4 * values), trustAt = arena.take(4 * values), insideAt = arena.take(tiles), lightAt = arena.take(8 * tiles), gainAt = arena.take(8 * frames), roomAt = arena.take(8 * Math.max(values, frames)), { buffer } = kernel.memory;
    const plane = new Float32Array(buffer, planeAt, values);
    new Uint8Array(buffer, insideAt, tiles).set(inside);
    plane.set(brightness);
    if (!kernel.takeOutExposure(planeAt, insideAt, tiles, frames, exposure, roomAt, lightAt, gainAt)) return null;
    brightness.set(plane);
    kernel.trustFrom(planeAt, insideAt, tiles, frames, sample, roomAt, LIMIT_FACTOR, LIMIT_LEAST, trustAt);
    trust.set(new Float32Array(buffer, trustAt, values));
    const light = new Float64Array(buffer, lightAt, tiles).slice(), gain = new Float64Array(buffer, gainAt, frames).slice();
    new Float64Array(buffer, gainAt, frames).set(gain.map((v) => Math.exp(-2 * v)));
    let quiet = 0;
    energy.forEach((band, b) => {
      plane.set(band);
      kernel.scaleFrames(planeAt, tiles, frames, gainAt);
      band.set(plane);
      if (b === 0) quiet = kernel.quietBlocks(planeAt, gridRows, gridColumns, frames, BLOCK_TILES, QUIET_SHARE, roomAt);
    });
    return { light, gain, quiet };
  });
}
