import type { Similarity } from '../registration/similarity.js';
import { bandResponse } from '../sharpness/band-response.js';
import type { FrameMeasure, MeasurePlan, SpectrumWindows } from '../sharpness/measure-plan.js';
import { tileGrid } from '../sharpness/tile-grid.js';
import { componentsOf } from './components.js';
import { quietSpectrum } from './quiet-spectrum.js';
import { median, quantile, quantileInPlace } from './statistics.js';
import { TileReader, type ReadTiles } from './tile-reader.js';

/** Everything the ladder solve reads: tiles of the middle frame, followed through all frames. */
export interface TileStack {
  plan: MeasurePlan;
  /** Measured pixels of a frame, and the tile grid over it. */
  rows: number;
  columns: number;
  tilePx: number;
  gridRows: number;
  gridColumns: number;
  frames: number;
  /** Per band: tile × frame, energies with the frame's exposure taken out. */
  energy: Float32Array[];
  /** Noise energy: band × frame. */
  noise: Float64Array[];
  /** Noise energy of each band for the average frame. */
  noiseFloor: Float64Array;
  /** Independent components behind one tile's energy, per band. */
  components: Float64Array;
  /** tile × frame: 1 where the tile's brightness is what it is in the other frames, towards 0 where something else is seen. */
  trust: Float32Array;
  /** tile × frame: ln of brightness against the tile's median and the frame's gain. */
  brightnessChange: Float32Array;
  /** Per tile: median over the frames of ln brightness (of √luminance, each frame's mean being 1). */
  light: Float64Array;
  /** 1: the tile lies inside every frame. */
  inside: Uint8Array;
  /** 1: no clipped pixel within reach of the filters in any frame. */
  clear: Uint8Array;
  /** FFT energies of windows: frame, then pyramid level. */
  spectra: readonly (readonly (SpectrumWindows | null)[])[];
  /** From the reference frame to each frame, centred measured pixels. */
  transforms: readonly Similarity[];
  /** ln exposure gain of each frame (of √luminance) beyond its mean brightness. */
  gain: Float64Array;
}

/**
 * Follows the tiles of the reference frame through all frames and reads their energies there; frames are never warped.
 *
 * @param measures one per frame, in file order
 * @param transforms from the reference frame to each frame, centred measured pixels
 * @param used a stack of the same frames that is no longer needed: its arrays are filled anew, since they are hundreds of megabytes for hundreds of frames
 * @param read the tiles under these transforms, where they were read already; taken over
 */
export function buildTileStack(plan: MeasurePlan, measures: readonly FrameMeasure[], transforms: readonly Similarity[], used?: TileStack, read?: ReadTiles | null): TileStack {
  const { rows, columns } = measures[0];
  const { tilePx, gridRows, gridColumns } = tileGrid(plan, rows, columns), frames = measures.length;
  const tiles = gridRows * gridColumns, { energy, brightness: change, inside, clear } = read ?? readAll(plan, measures, transforms, used);
  const light = new Float64Array(tiles), gain = takeOutExposure(energy, change, light, inside, tiles, frames);
  const trust = trustFromBrightness(change, inside, tiles, frames, used?.trust ?? new Float32Array(tiles * frames));
  const spectra = measures.map((m) => m.spectra), noiseFloor = firstNoiseFloor(plan, energy[0], gridRows, gridColumns, frames, quietSpectrum(plan, spectra));
  const means = measures.map((m) => m.meanRoot);
  const middleMean = median(means), middleGain = median(gain);
  const noise = plan.bands.map((_, b) => Float64Array.from(means, (mean, k) => noiseFloor[b] * ((middleMean / mean) * Math.exp(middleGain - gain[k])) ** 2));
  const components = Float64Array.from(plan.bands, componentsOf);
  return { plan, rows, columns, tilePx, gridRows, gridColumns, frames, energy, noise, noiseFloor, components, trust, brightnessChange: change, light, inside, clear, gain, spectra, transforms };
}

function readAll(plan: MeasurePlan, measures: readonly FrameMeasure[], transforms: readonly Similarity[], used?: TileStack): ReadTiles {
  const { rows, columns } = measures[0], reader = new TileReader(plan, rows, columns, measures.length, used && { energy: used.energy, brightness: used.brightnessChange });
  measures.forEach((measure, k) => reader.add(k, measure, transforms[k]));
  return reader.taken()!;
}

/** Defocus doesn't change mean brightness: the median change over the tiles is the frame's exposure; what is left stays in `change`, the tile's median in `light`. */
function takeOutExposure(energy: Float32Array[], change: Float32Array, light: Float64Array, inside: Uint8Array, tiles: number, frames: number): Float64Array {
  takeOutMedians(change, light, frames);
  const gain = new Float64Array(frames), column = new Float64Array(tiles);
  for (let k = 0; k < frames; k++) {
    const n = columnOf(change, inside, k, frames, column);
    gain[k] = n ? quantileInPlace(column.subarray(0, n), 0.5) : 0;
  }
  const factor = gain.map((v) => Math.exp(-2 * v));
  for (const values of energy) scaleFrames(values, factor);
  takeOutGains(change, gain);
  return gain;
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

/** Tiles that a frame's exposure is told by: of more, every n-th alone. A median of so many scatters by less than a fiftieth of what one of them does. */
const EXPOSURE_TILES = 5000;

function columnOf(change: Float32Array, inside: Uint8Array, frame: number, frames: number, out: Float64Array): number {
  const stride = Math.max(1, Math.floor(inside.length / EXPOSURE_TILES));
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

function trustFromBrightness(change: Float32Array, inside: Uint8Array, tiles: number, frames: number, trust: Float32Array): Float32Array {
  const sample: number[] = [];
  const stride = Math.max(1, Math.floor((tiles * frames) / 40_000));
  for (let i = 0; i < change.length; i += stride) if (inside[Math.floor(i / frames)]) sample.push(Math.abs(change[i]));
  const limit = 3 * 1.48 * (sample.length ? median(sample) : 0) + 0.03;
  for (let i = 0; i < trust.length; i++) { const square = (change[i] / limit) ** 2; trust[i] = 1 / (1 + square * square); }
  return trust;
}

/** Noise is white, or weaker where it is finest, as compression and smoothing leave it: in the fine band it is at most this many times what the finest detail shows. On rendered stacks 1.1 to 3.8. */
const MOST_COLOURED = 4;

/**
 * Somewhere, in some frame, a block is far out of focus: the fifth percentile of the fine band over 64-px blocks; the other bands by white-noise scaling.
 * In a shallow stack, or one made much smaller, no block is, and the finest detail of the quietest windows tells better.
 *
 * @param quiet power of the finest detail there, as of white noise of this variance; null: not known
 */
function firstNoiseFloor(plan: MeasurePlan, fine: Float32Array, gridRows: number, gridColumns: number, frames: number, quiet: number | null): Float64Array {
  const blocks: number[] = [];
  for (let r = 0; r + 4 <= gridRows || r === 0; r += 4) for (let c = 0; c + 4 <= gridColumns || c === 0; c += 4) for (let k = 0; k < frames; k++) {
    let sum = 0, n = 0;
    for (let i = r; i < Math.min(gridRows, r + 4); i++) for (let j = c; j < Math.min(gridColumns, c + 4); j++) { sum += fine[(i * gridColumns + j) * frames + k]; n++; }
    blocks.push(sum / n);
  }
  const gains = plan.bands.map((band) => bandResponse(band).noiseGain), most = quiet === null ? Infinity : MOST_COLOURED * quiet * gains[0];
  const floor = Math.max(Math.min(quantile(blocks, 0.05), most), 1e-12);
  return Float64Array.from(gains, (gain) => (floor * gain) / gains[0]);
}
