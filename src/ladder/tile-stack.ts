import { boxMean, summedArea } from '../image/summed-area.js';
import { applySimilarity, type Similarity } from '../registration/similarity.js';
import { bandResponse } from '../sharpness/band-response.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';
import { median, quantile } from './statistics.js';

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
  /** 1: the tile lies inside every frame. */
  inside: Uint8Array;
  /** 1: no clipped pixel within reach of the filters in any frame. */
  clear: Uint8Array;
  /** ln exposure gain of each frame (of √luminance) beyond its mean brightness. */
  gain: Float64Array;
}

const EDGE_PX = 4;
const CLIP_REACH_PX = 33;
const MOST_CLIPPED_PX = 2.5;

/**
 * Follows the tiles of the reference frame through all frames and reads their energies there; frames are never warped.
 *
 * @param measures one per frame, in file order
 * @param transforms from the reference frame to each frame, centred measured pixels
 */
export function buildTileStack(plan: MeasurePlan, measures: readonly FrameMeasure[], transforms: readonly Similarity[]): TileStack {
  const { rows, columns } = measures[0];
  const tilePx = plan.cellPx * 2, frames = measures.length;
  const gridRows = Math.max(1, Math.floor((rows + tilePx / 2) / tilePx)), gridColumns = Math.max(1, Math.floor((columns + tilePx / 2) / tilePx));
  const tiles = gridRows * gridColumns;
  const energy = plan.bands.map(() => new Float32Array(tiles * frames));
  const change = new Float32Array(tiles * frames);
  const inside = new Uint8Array(tiles).fill(1), clear = new Uint8Array(tiles).fill(1);
  const centreRow = (rows - 1) / 2, centreColumn = (columns - 1) / 2;
  measures.forEach((measure, frame) => {
    const areas = measure.energy.map((cells) => summedArea(cells, measure.cellRows, measure.cellColumns));
    const brightness = summedArea(measure.brightness, measure.cellRows, measure.cellColumns);
    const clipped = summedArea(measure.clipped, measure.cellRows, measure.cellColumns);
    for (let r = 0; r < gridRows; r++) for (let c = 0; c < gridColumns; c++) {
      const tile = r * gridColumns + c, at = tile * frames + frame;
      const there = applySimilarity(transforms[frame], (r + 0.5) * tilePx - 0.5 - centreRow, (c + 0.5) * tilePx - 0.5 - centreColumn);
      const row = there.row + centreRow, column = there.column + centreColumn;
      if (!(row > EDGE_PX && row < rows - EDGE_PX - 1 && column > EDGE_PX && column < columns - EDGE_PX - 1)) inside[tile] = 0;
      const cellRow = (row + 0.5) / plan.cellPx, cellColumn = (column + 0.5) / plan.cellPx;
      for (let b = 0; b < areas.length; b++) energy[b][at] = boxMean(areas[b], cellRow, cellColumn, plan.bands[b].boxPx / plan.cellPx);
      change[at] = Math.log(Math.max(boxMean(brightness, cellRow, cellColumn, 2), 1e-3));
      if (boxMean(clipped, cellRow, cellColumn, CLIP_REACH_PX / plan.cellPx) > MOST_CLIPPED_PX / CLIP_REACH_PX ** 2) clear[tile] = 0;
    }
  });
  const gain = takeOutExposure(energy, change, inside, tiles, frames);
  const trust = trustFromBrightness(change, inside, tiles, frames);
  const noiseFloor = firstNoiseFloor(plan, energy[0], gridRows, gridColumns, frames);
  const means = measures.map((m) => m.meanRoot);
  const middleMean = median(means), middleGain = median(gain);
  const noise = plan.bands.map((_, b) => Float64Array.from(means, (mean, k) => noiseFloor[b] * ((middleMean / mean) * Math.exp(middleGain - gain[k])) ** 2));
  const components = Float64Array.from(plan.bands, (band) => {
    const width = 1 / Math.sqrt(4 * band.order);
    return Math.max(1, band.boxPx ** 2 * 2 * Math.PI * band.centre ** 2 * width * Math.sqrt(Math.PI));
  });
  return { plan, rows, columns, tilePx, gridRows, gridColumns, frames, energy, noise, noiseFloor, components, trust, brightnessChange: change, inside, clear, gain };
}

/** Defocus doesn't change mean brightness: the median change over the tiles is the frame's exposure; what is left stays in `change`. */
function takeOutExposure(energy: Float32Array[], change: Float32Array, inside: Uint8Array, tiles: number, frames: number): Float64Array {
  for (let t = 0; t < tiles; t++) {
    const middle = median(change.subarray(t * frames, (t + 1) * frames));
    for (let k = 0; k < frames; k++) change[t * frames + k] -= middle;
  }
  const gain = new Float64Array(frames);
  for (let k = 0; k < frames; k++) {
    const values: number[] = [];
    for (let t = 0; t < tiles; t++) if (inside[t]) values.push(change[t * frames + k]);
    gain[k] = values.length ? median(values) : 0;
    const factor = Math.exp(-2 * gain[k]);
    for (let t = 0; t < tiles; t++) { change[t * frames + k] -= gain[k]; for (const e of energy) e[t * frames + k] *= factor; }
  }
  return gain;
}

function trustFromBrightness(change: Float32Array, inside: Uint8Array, tiles: number, frames: number): Float32Array {
  const sample: number[] = [];
  const stride = Math.max(1, Math.floor((tiles * frames) / 40_000));
  for (let i = 0; i < change.length; i += stride) if (inside[Math.floor(i / frames)]) sample.push(Math.abs(change[i]));
  const limit = 3 * 1.48 * (sample.length ? median(sample) : 0) + 0.03;
  return change.map((value) => 1 / (1 + (value / limit) ** 4));
}

/** Somewhere, in some frame, a block is far out of focus: the fifth percentile of the fine band over 64-px blocks; the other bands by white-noise scaling. */
function firstNoiseFloor(plan: MeasurePlan, fine: Float32Array, gridRows: number, gridColumns: number, frames: number): Float64Array {
  const blocks: number[] = [];
  for (let r = 0; r + 4 <= gridRows || r === 0; r += 4) for (let c = 0; c + 4 <= gridColumns || c === 0; c += 4) for (let k = 0; k < frames; k++) {
    let sum = 0, n = 0;
    for (let i = r; i < Math.min(gridRows, r + 4); i++) for (let j = c; j < Math.min(gridColumns, c + 4); j++) { sum += fine[(i * gridColumns + j) * frames + k]; n++; }
    blocks.push(sum / n);
  }
  const floor = Math.max(quantile(blocks, 0.05), 1e-12);
  const gains = plan.bands.map((band) => bandResponse(band).noiseGain);
  return Float64Array.from(gains, (gain) => (floor * gain) / gains[0]);
}
