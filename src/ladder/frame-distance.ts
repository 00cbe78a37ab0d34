import type { TileStack } from './tile-stack.js';
import { quantile } from './statistics.js';

/**
 * How unlike two frames are in where they are sharp: root mean square difference of their block amplitudes (64-px blocks, each
 * relative to the block's greatest over the frames), over all bands.
 *
 * @returns frames × frames
 */
export function frameDistance(stack: TileStack): Float64Array {
  const { frames, gridRows, gridColumns, energy } = stack;
  const patterns: Float64Array[] = [];
  const floors: number[] = [];
  const blocks: Float64Array[][] = [];
  for (let r = 0; r < gridRows; r += 4) for (let c = 0; c < gridColumns; c += 4) {
    blocks.push(energy.map((all) => {
      const sums = new Float64Array(frames);
      let n = 0;
      for (let i = r; i < Math.min(gridRows, r + 4); i++) for (let j = c; j < Math.min(gridColumns, c + 4); j++) {
        const t = i * gridColumns + j;
        if (!stack.inside[t]) continue;
        n++;
        for (let k = 0; k < frames; k++) sums[k] += all[t * frames + k];
      }
      return sums.map((v) => (n ? Math.sqrt(v / n) : 0));
    }));
  }
  for (const block of blocks) for (const v of block[0]) if (v > 0) floors.push(v);
  const floor = quantile(floors, 0.05);
  for (const block of blocks) {
    if (!(Math.max(...block[0]) > 1.5 * floor)) continue;
    for (const line of block) { const peak = Math.max(...line); if (peak > 0) patterns.push(line.map((v) => v / peak)); }
  }
  const out = new Float64Array(frames * frames);
  for (let a = 0; a < frames; a++) for (let b = 0; b < a; b++) {
    let sum = 0;
    for (const p of patterns) sum += (p[a] - p[b]) ** 2;
    out[a * frames + b] = out[b * frames + a] = Math.sqrt(sum / Math.max(1, patterns.length));
  }
  return out;
}
