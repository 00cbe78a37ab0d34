import { median, quantile, quantileInPlace } from './statistics.js';
import type { ReadTiles } from './tile-reader.js';

/** Tiles as read, of a grid. */
export interface TilePlanes extends Pick<ReadTiles, 'energy' | 'brightness' | 'inside'> { gridRows: number; gridColumns: number; frames: number }

/** What was taken out: per tile the median over the frames of ln brightness, per frame ln exposure gain; and the fine band's energy in the quietest blocks. */
export interface Unexposed { light: Float64Array; gain: Float64Array; quiet: number }

/** Usual change of brightness, as a standard deviation, to the change that halves a tile's trust; and the least of it. */
export const LIMIT_FACTOR = 3 * 1.48, LIMIT_LEAST = 0.03;
/** Tiles along an edge of a block, and the share of blocks that counts as out of focus. */
export const BLOCK_TILES = 4, QUIET_SHARE = 0.05;
/** Tiles that a frame's exposure is told by: of more, every n-th alone. A median of so many scatters by less than a fiftieth of what one of them does. */
const EXPOSURE_TILES = 5000;
const TRUST_SAMPLE = 40_000;

/** Every so manieth tile tells a frame's exposure, every so manieth value what change is usual. */
export const strides = (tiles: number, frames: number): { exposure: number; sample: number } => ({ exposure: Math.max(1, Math.floor(tiles / EXPOSURE_TILES)), sample: Math.max(1, Math.floor((tiles * frames) / TRUST_SAMPLE)) });

/**
 * Defocus doesn't change mean brightness: the median change over the tiles is the frame's exposure. It is taken out of the energies; of the brightness, in place, what neither a
 * tile's median nor a frame's exposure explains stays, and tells how far a value is trusted.
 * @param trust filled here
 */
export function plainUnexposed({ energy, brightness, inside, gridRows, gridColumns, frames }: TilePlanes, trust: Float32Array): Unexposed {
  const tiles = gridRows * gridColumns, { exposure, sample } = strides(tiles, frames), light = new Float64Array(tiles), gain = new Float64Array(frames), column = new Float64Array(tiles);
  takeOutMedians(brightness, light, frames);
  for (let k = 0; k < frames; k++) {
    const n = columnOf(brightness, inside, k, frames, exposure, column);
    gain[k] = n ? quantileInPlace(column.subarray(0, n), 0.5) : 0;
  }
  const factor = gain.map((v) => Math.exp(-2 * v));
  for (const values of energy) scaleFrames(values, factor);
  takeOutGains(brightness, gain);
  trustFromBrightness(brightness, inside, frames, sample, trust);
  return { light, gain, quiet: quietBlocks(energy[0], gridRows, gridColumns, frames) };
}

// Loops over all tiles and frames, each a function of its own: they run once, and the smaller a function the sooner it is compiled.

function takeOutMedians(change: Float32Array, light: Float64Array, frames: number): void {
  const line = new Float64Array(frames);
  for (let t = 0, from = 0; t < light.length; t++, from += frames) {
    for (let k = 0; k < frames; k++) line[k] = change[from + k];
    const middle = light[t] = quantileInPlace(line, 0.5);
    for (let k = 0; k < frames; k++) change[from + k] -= middle;
  }
}

function columnOf(change: Float32Array, inside: Uint8Array, frame: number, frames: number, stride: number, out: Float64Array): number {
  let n = 0;
  for (let t = 0; t < inside.length; t += stride) if (inside[t]) out[n++] = change[t * frames + frame];
  return n;
}

function scaleFrames(values: Float32Array, factor: Float64Array): void {
  for (let i = 0; i < values.length;) for (let k = 0; k < factor.length; k++, i++) values[i] *= factor[k];
}

function takeOutGains(change: Float32Array, gain: Float64Array): void {
  for (let i = 0; i < change.length;) for (let k = 0; k < gain.length; k++, i++) change[i] -= gain[k];
}

function trustFromBrightness(change: Float32Array, inside: Uint8Array, frames: number, stride: number, trust: Float32Array): void {
  const sample: number[] = [];
  for (let i = 0; i < change.length; i += stride) if (inside[Math.floor(i / frames)]) sample.push(Math.abs(change[i]));
  const limit = LIMIT_FACTOR * (sample.length ? median(sample) : 0) + LIMIT_LEAST;
  for (let i = 0; i < trust.length; i++) { const square = (change[i] / limit) ** 2; trust[i] = 1 / (1 + square * square); }
}

function quietBlocks(fine: Float32Array, gridRows: number, gridColumns: number, frames: number): number {
  const blocks: number[] = [];
  for (let r = 0; r + BLOCK_TILES <= gridRows || r === 0; r += BLOCK_TILES) for (let c = 0; c + BLOCK_TILES <= gridColumns || c === 0; c += BLOCK_TILES) for (let k = 0; k < frames; k++) {
    let sum = 0, n = 0;
    for (let i = r; i < Math.min(gridRows, r + BLOCK_TILES); i++) for (let j = c; j < Math.min(gridColumns, c + BLOCK_TILES); j++) { sum += fine[(i * gridColumns + j) * frames + k]; n++; }
    blocks.push(sum / n);
  }
  return quantile(blocks, QUIET_SHARE);
}
