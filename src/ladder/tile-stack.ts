import type { Similarity } from '../registration/similarity.js';
import { bandResponse } from '../sharpness/band-response.js';
import type { FrameMeasure, MeasurePlan, SpectrumWindows } from '../sharpness/measure-plan.js';
import { tileGrid } from '../sharpness/tile-grid.js';
import { componentsOf } from './components.js';
import { fastUnexposed } from './fast-tile-stack.js';
import { plainUnexposed } from './plain-tile-stack.js';
import { quietSpectrum } from './quiet-spectrum.js';
import { median } from './statistics.js';
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
  const { energy, brightness, inside, clear } = read ?? readAll(plan, measures, transforms, used), planes = { energy, brightness, inside, gridRows, gridColumns, frames };
  const trust = used?.trust ?? new Float32Array(gridRows * gridColumns * frames), { light, gain, quiet } = fastUnexposed(planes, trust) ?? plainUnexposed(planes, trust);
  const spectra = measures.map((m) => m.spectra), noiseFloor = firstNoiseFloor(plan, quiet, quietSpectrum(plan, spectra));
  const means = measures.map((m) => m.meanRoot);
  const middleMean = median(means), middleGain = median(gain);
  const noise = plan.bands.map((_, b) => Float64Array.from(means, (mean, k) => noiseFloor[b] * ((middleMean / mean) * Math.exp(middleGain - gain[k])) ** 2));
  const components = Float64Array.from(plan.bands, componentsOf);
  return { plan, rows, columns, tilePx, gridRows, gridColumns, frames, energy, noise, noiseFloor, components, trust, brightnessChange: brightness, light, inside, clear, gain, spectra, transforms };
}

function readAll(plan: MeasurePlan, measures: readonly FrameMeasure[], transforms: readonly Similarity[], used?: TileStack): ReadTiles {
  const { rows, columns } = measures[0], reader = new TileReader(plan, rows, columns, measures.length, used && { energy: used.energy, brightness: used.brightnessChange });
  measures.forEach((measure, k) => reader.add(k, measure, transforms[k]));
  return reader.taken()!;
}

/** Noise is white, or weaker where it is finest, as compression and smoothing leave it: in the fine band it is at most this many times what the finest detail shows. On rendered stacks 1.1 to 3.8. */
const MOST_COLOURED = 4;

/**
 * Somewhere, in some frame, a block is far out of focus: the fifth percentile of the fine band over 64-px blocks; the other bands by white-noise scaling.
 * In a shallow stack, or one made much smaller, no block is, and the finest detail of the quietest windows tells better.
 *
 * @param blocks that percentile; @param quiet power of the finest detail there, as of white noise of this variance; null: not known
 */
function firstNoiseFloor(plan: MeasurePlan, blocks: number, quiet: number | null): Float64Array {
  const gains = plan.bands.map((band) => bandResponse(band).noiseGain), most = quiet === null ? Infinity : MOST_COLOURED * quiet * gains[0];
  const floor = Math.max(Math.min(blocks, most), 1e-12);
  return Float64Array.from(gains, (gain) => (floor * gain) / gains[0]);
}
