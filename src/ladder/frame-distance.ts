import { withKernel } from './fast-kernel.js';
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
  const lines = new Float64Array(blocks * bands * frames);
  let patterns = 0;
  for (let i = 0; i < blocks; i++) {
    if (!(peakOf(amplitude, i * bands * frames, frames) > 1.5 * floor)) continue;
    for (let b = 0; b < bands; b++) {
      const from = (i * bands + b) * frames, peak = peakOf(amplitude, from, frames);
      if (!(peak > 0)) continue;
      for (let k = 0, to = patterns * frames; k < frames; k++, to++) lines[to] = amplitude[from + k] / peak;
      patterns++;
    }
  }
  const told = lines.subarray(0, patterns * frames), out = fastUnlikeness(told, frames) ?? plainUnlikeness(told, frames);
  for (let a = 0; a < frames; a++) for (let k = 0; k < a; k++) out[a * frames + k] = out[k * frames + a] = Math.sqrt(out[a * frames + k] / Math.max(1, patterns));
  return out;
}

/** Frames × frames, its lower half: sums of squared differences over lines of one value a frame. */
export function plainUnlikeness(lines: Float64Array, frames: number): Float64Array {
  const out = new Float64Array(frames * frames);
  for (let from = 0; from < lines.length; from += frames) for (let a = 1; a < frames; a++) for (let k = 0, v = lines[from + a], row = a * frames; k < a; k++) { const d = v - lines[from + k]; out[row + k] += d * d; }
  return out;
}

/** The same in WebAssembly; null where there is none, or no room. */
export function fastUnlikeness(lines: Float64Array, frames: number): Float64Array | null {
  return withKernel(({ kernel, arena }) => {
    const linesAt = arena.take(8 * lines.length), outAt = arena.take(8 * frames * frames), { buffer } = kernel.memory;
    new Float64Array(buffer, linesAt, lines.length).set(lines);
    new Float64Array(buffer, outAt, frames * frames).fill(0);
    kernel.unlikeness(linesAt, lines.length / frames, frames, outAt);
    return new Float64Array(buffer, outAt, frames * frames).slice();
  });
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
