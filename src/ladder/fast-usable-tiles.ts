import { MOST_COPIED, withKernel } from './fast-kernel.js';
import { FINE_LEAST, MIDDLE_LEAST, type Readable } from './plain-usable-tiles.js';
import { DARKER, REACH_TILES } from './silhouette.js';
import { LEAST_STEADY, LEAST_TILES } from './steady-tiles.js';
import type { TileStack } from './tile-stack.js';

/** What the kernel marks a tile with that may be usable, that rises in the middle band alone, and that does in the fine band. */
const ASKED = 1, RISING = 2, STRONG = 3;

/** plainReadable in WebAssembly; null where there is none, or no room. */
export function fastReadable(stack: TileStack): Readable | null {
  const { frames, energy, noise, noiseFloor, trust, light, inside, clear, gridRows, gridColumns } = stack, tiles = inside.length, values = tiles * frames;
  return values > MOST_COPIED ? null : withKernel(({ kernel, arena }) => {
    const planeAt = arena.take(4 * values), trustAt = arena.take(4 * values), noiseAt = arena.take(8 * frames), lightAt = arena.take(8 * tiles), roomAt = arena.take(32 * tiles), insideAt = arena.take(tiles);
    const groundAt = arena.take(tiles), rimAt = arena.take(tiles), markAt = arena.take(tiles), tileAt = arena.take(4 * tiles), steadyAt = arena.take(4 * tiles), { buffer } = kernel.memory;
    const plane = new Float32Array(buffer, planeAt, values), line = new Float64Array(buffer, noiseAt, frames), ground = new Uint8Array(buffer, groundAt, tiles).fill(0), mark = new Uint8Array(buffer, markAt, tiles);
    new Float64Array(buffer, lightAt, tiles).set(light);
    new Uint8Array(buffer, insideAt, tiles).set(inside);
    new Uint8Array(buffer, rimAt, tiles).fill(0);
    kernel.outline(lightAt, insideAt, gridRows, gridColumns, DARKER, REACH_TILES, roomAt, groundAt, rimAt);
    let within = 0, strong = 0, n = 0;
    for (let t = 0; t < tiles; t++) { within += inside[t]; mark[t] = inside[t] & clear[t] & (1 - ground[t]) ? ASKED : 0; }
    const rise = (band: number, least: number, as: number): void => {
      plane.set(energy[band]);
      line.set(noise[band]);
      kernel.markRising(planeAt, noiseAt, tiles, frames, least ** 2 * noiseFloor[band], markAt, as);
    };
    rise(0, FINE_LEAST, STRONG);
    // Left in place for the steady ones, too.
    rise(1, MIDDLE_LEAST, RISING);
    const tile = new Int32Array(buffer, tileAt, tiles);
    for (let t = 0; t < tiles; t++) { const of = mark[t]; if (of > ASKED) { tile[n++] = t; if (of === STRONG) strong++; } }
    new Float32Array(buffer, trustAt, values).set(trust);
    const steady = kernel.keepSteady(planeAt, noiseAt, trustAt, frames, tileAt, n, rimAt, LEAST_STEADY, steadyAt), usable = tile.slice(0, n);
    return { usable, steady: steady >= LEAST_TILES ? new Int32Array(buffer, steadyAt, steady).slice() : usable, strong, inside: within };
  });
}

/** The frame in which each of some tiles is sharpest, as choose-tiles.ts finds it; null where there is no kernel, or no room. */
export function fastSharpest({ frames, energy, noise, noiseFloor }: TileStack, tile: Int32Array): Int32Array | null {
  const values = energy[0].length, count = tile.length;
  return values > MOST_COPIED ? null : withKernel(({ kernel, arena }) => {
    const planesAt = [0, 1].map(() => arena.take(4 * values)), noiseAt = [0, 1].map(() => arena.take(8 * frames)), tileAt = arena.take(4 * count), outAt = arena.take(4 * count), { buffer } = kernel.memory;
    for (const b of [0, 1]) { new Float32Array(buffer, planesAt[b], values).set(energy[b]); new Float64Array(buffer, noiseAt[b], frames).set(noise[b]); }
    new Int32Array(buffer, tileAt, count).set(tile);
    kernel.sharpestFrames(planesAt[0], planesAt[1], noiseAt[0], noiseAt[1], noiseFloor[0], noiseFloor[1], frames, tileAt, count, outAt);
    return new Int32Array(buffer, outAt, count).slice();
  });
}
