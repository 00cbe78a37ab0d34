import type { TileStack } from './tile-stack.js';

/** Model error, relative to a tile's peak amplitude: far tails must not outvote the peak. */
export const MODEL_ERROR = 0.05;

/** The tiles a solve works on, copied out of the stack. */
export interface SolveTiles {
  count: number;
  frames: number;
  /** Their places in the stack's tile grid. */
  tile: Int32Array;
  /** Per band: tile × frame. */
  energy: Float32Array[];
  /** Per band: tile × frame, √(energy − noise), 0 below the noise. */
  amplitude: Float32Array[];
  /** Per band: 1/variance of a tile's amplitudes. */
  weight: Float64Array[];
  trust: Float32Array;
}

export function selectTiles(stack: TileStack, tile: Int32Array): SolveTiles {
  const { frames } = stack, count = tile.length;
  const energy = stack.energy.map((all) => {
    const some = new Float32Array(count * frames);
    tile.forEach((t, i) => some.set(all.subarray(t * frames, (t + 1) * frames), i * frames));
    return some;
  });
  const trust = new Float32Array(count * frames);
  tile.forEach((t, i) => trust.set(stack.trust.subarray(t * frames, (t + 1) * frames), i * frames));
  const tiles: SolveTiles = { count, frames, tile, energy, trust, amplitude: [], weight: [] };
  refreshAmplitudes(tiles, stack);
  return tiles;
}

/** Takes the noise off again after it was estimated anew. */
export function refreshAmplitudes(tiles: SolveTiles, stack: TileStack): void {
  const { count, frames } = tiles;
  tiles.weight = tiles.energy.map(() => new Float64Array(count));
  tiles.amplitude = tiles.energy.map((energy, b) => {
    const amplitude = new Float32Array(energy.length), noise = stack.noise[b], least = stack.noiseFloor[b] / stack.components[b];
    for (let t = 0, i = 0; t < count; t++) {
      let peak = 0;
      for (let k = 0; k < frames; k++, i++) {
        amplitude[i] = Math.sqrt(Math.max(0, energy[i] - noise[k]));
        if (amplitude[i] > peak) peak = amplitude[i];
      }
      tiles.weight[b][t] = 1 / (least + (MODEL_ERROR * peak) ** 2 + 1e-30);
    }
    return amplitude;
  });
}
