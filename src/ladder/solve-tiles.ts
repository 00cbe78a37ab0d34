import { fastAmplitudes } from './fast-amplitudes.js';
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

/** Variance of a band's amplitudes where a tile shows nothing. */
export function leastVariance({ noiseFloor, components }: Pick<TileStack, 'noiseFloor' | 'components'>, b: number): number { return noiseFloor[b] / components[b]; }

/** Takes the noise off again after it was estimated anew. */
export function refreshAmplitudes(tiles: SolveTiles, stack: TileStack): void {
  const { count, frames } = tiles;
  tiles.weight = [];
  tiles.amplitude = tiles.energy.map((energy, b) => {
    const noise = stack.noise[b], least = leastVariance(stack, b), { amplitude, weight } = fastAmplitudes(energy, count, frames, noise, least, MODEL_ERROR ** 2) ?? plainAmplitudes(energy, count, frames, noise, least);
    tiles.weight.push(weight);
    return amplitude;
  });
}

function plainAmplitudes(energy: Float32Array, count: number, frames: number, noise: Float64Array, least: number): { amplitude: Float32Array; weight: Float64Array } {
  const weight = new Float64Array(count), amplitude = new Float32Array(energy.length);
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
  return { amplitude, weight };
}
