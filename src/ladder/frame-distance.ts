import type { TileStack } from './tile-stack.js';
import { quantile } from './statistics.js';

/** Edge of a block in tiles. */
const BLOCK = 4;
/** Of twice as many blocks or more every second is looked at, and so on: frames are told apart by far fewer. */
const ENOUGH_BLOCKS = 500;

/**
 * How unlike two frames are in where they are sharp: root mean square difference of their block amplitudes (64-px blocks, each
 * relative to the block's greatest over the frames), over all bands.
 *
 * @returns frames × frames
 */
export function frameDistance(stack: TileStack): Float64Array {
  const { frames, energy } = stack, bands = energy.length, amplitude = blockAmplitudes(stack), blocks = amplitude.length / (bands * frames);
  const fine: number[] = [];
  for (let i = 0; i < blocks; i++) for (let k = 0; k < frames; k++) { const v = amplitude[i * bands * frames + k]; if (v > 0) fine.push(v); }
  const floor = quantile(fine, 0.05);
  const out = new Float64Array(frames * frames), line = new Float64Array(frames);
  let patterns = 0;
  for (let i = 0; i < blocks; i++) {
    if (!(peakOf(amplitude, i * bands * frames, frames) > 1.5 * floor)) continue;
    for (let b = 0; b < bands; b++) {
      const from = (i * bands + b) * frames, peak = peakOf(amplitude, from, frames);
      if (!(peak > 0)) continue;
      patterns++;
      for (let k = 0; k < frames; k++) line[k] = amplitude[from + k] / peak;
      for (let a = 1; a < frames; a++) for (let k = 0, v = line[a], row = a * frames; k < a; k++) { const d = v - line[k]; out[row + k] += d * d; }
    }
  }
  for (let a = 0; a < frames; a++) for (let k = 0; k < a; k++) out[a * frames + k] = out[k * frames + a] = Math.sqrt(out[a * frames + k] / Math.max(1, patterns));
  return out;
}

/** Block × band × frame: amplitudes of the blocks that are looked at, 0 where no tile of a block lies inside all frames. */
function blockAmplitudes({ frames, gridRows, gridColumns, energy, inside }: TileStack): Float64Array {
  const bands = energy.length, blockColumns = Math.ceil(gridColumns / BLOCK), all = Math.ceil(gridRows / BLOCK) * blockColumns, stride = Math.max(1, Math.floor(all / ENOUGH_BLOCKS)), blocks = Math.ceil(all / stride);
  const amplitude = new Float64Array(blocks * bands * frames);
  for (let n = 0; n < blocks; n++) {
    const block = n * stride, top = BLOCK * Math.floor(block / blockColumns), left = BLOCK * (block % blockColumns), to = n * bands * frames;
    let tiles = 0;
    for (let r = top; r < Math.min(gridRows, top + BLOCK); r++) for (let c = left; c < Math.min(gridColumns, left + BLOCK); c++) {
      const t = r * gridColumns + c;
      if (!inside[t]) continue;
      tiles++;
      for (let b = 0; b < bands; b++) addLine(energy[b], t * frames, frames, amplitude, to + b * frames);
    }
    for (let i = to; i < to + bands * frames; i++) amplitude[i] = tiles ? Math.sqrt(amplitude[i] / tiles) : 0;
  }
  return amplitude;
}

function addLine(values: Float32Array, from: number, count: number, out: Float64Array, to: number): void {
  for (let k = 0; k < count; k++) out[to + k] += values[from + k];
}

function peakOf(values: Float64Array, from: number, count: number): number {
  let peak = 0;
  for (let i = from; i < from + count; i++) if (values[i] > peak) peak = values[i];
  return peak;
}
