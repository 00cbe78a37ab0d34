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
  // Value by value: a line of frames is too short for a view of its own.
  const pick = (all: Float32Array): Float32Array => {
    const some = new Float32Array(count * frames);
    for (let i = 0, to = 0; i < count; i++) for (let from = tile[i] * frames, end = from + frames; from < end; from++) some[to++] = all[from];
    return some;
  };
  const energy = stack.energy.map(pick), trust = pick(stack.trust);
  const tiles: SolveTiles = { count, frames, tile, energy, trust, amplitude: [], weight: [] };
  refreshAmplitudes(tiles, stack);
  return tiles;
}

/** Takes the noise off again after it was estimated anew. */
export function refreshAmplitudes(tiles: SolveTiles, stack: TileStack): void {
  const { count, frames } = tiles;
  tiles.weight = tiles.energy.map(() => new Float64Array(count));
  tiles.amplitude = tiles.energy.map((energy, b) => {
    const weight = tiles.weight[b], amplitude = new Float32Array(energy.length), noise = stack.noise[b], least = stack.noiseFloor[b] / stack.components[b];
    for (let t = 0, i = 0; t < count; t++) {
      let peak = 0;
      for (let k = 0; k < frames; k++, i++) {
        const square = energy[i] - noise[k];
        if (square <= 0) continue;
        amplitude[i] = Math.sqrt(square);
        if (square > peak) peak = square;
      }
      weight[t] = 1 / (least + MODEL_ERROR ** 2 * peak + 1e-30);
    }
    return amplitude;
  });
}
