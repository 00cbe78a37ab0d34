import type { TileStack } from './tile-stack.js';
import { quantile } from './statistics.js';

/** Edge of a block in tiles. */
const BLOCK = 4;

/**
 * How unlike two frames are in where they are sharp: root mean square difference of their block amplitudes (64-px blocks, each
 * relative to the block's greatest over the frames), over all bands.
 *
 * @returns frames × frames
 */
export function frameDistance(stack: TileStack): Float64Array {
  const { frames, gridRows, gridColumns, energy } = stack, bands = energy.length;
  const blockRows = Math.ceil(gridRows / BLOCK), blockColumns = Math.ceil(gridColumns / BLOCK), blocks = blockRows * blockColumns;
  // Block × band × frame: amplitudes.
  const amplitude = new Float64Array(blocks * bands * frames);
  for (let r = 0; r < gridRows; r++) for (let c = 0; c < gridColumns; c++) {
    const t = r * gridColumns + c;
    if (!stack.inside[t]) continue;
    const block = Math.floor(r / BLOCK) * blockColumns + Math.floor(c / BLOCK);
    for (let b = 0; b < bands; b++) for (let k = 0, from = t * frames, to = (block * bands + b) * frames, all = energy[b]; k < frames; k++) amplitude[to + k] += all[from + k];
  }
  for (let r = 0; r < gridRows; r += BLOCK) for (let c = 0; c < gridColumns; c += BLOCK) {
    const i = ((r / BLOCK) * blockColumns + c / BLOCK) * bands * frames;
    let n = 0;
    for (let y = r; y < Math.min(gridRows, r + BLOCK); y++) for (let x = c; x < Math.min(gridColumns, c + BLOCK); x++) n += stack.inside[y * gridColumns + x];
    for (let k = 0; k < bands * frames; k++) amplitude[i + k] = n ? Math.sqrt(amplitude[i + k] / n) : 0;
  }
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

function peakOf(values: Float64Array, from: number, count: number): number {
  let peak = 0;
  for (let i = from; i < from + count; i++) if (values[i] > peak) peak = values[i];
  return peak;
}
