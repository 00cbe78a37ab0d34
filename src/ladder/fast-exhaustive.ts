import type { DepthGrid, TileDepths } from './exhaustive-depth.js';
import { withKernel } from './fast-kernel.js';
import { SPREADS, type FocusCurve } from './focus-curve.js';
import { nearestSpread } from './nearest-spread.js';
import { DEFOCUS_COUNT } from './otf-table.js';
import { LAST, PER_STEP } from './plain-tile-pass.js';
import type { SolveTiles } from './solve-tiles.js';

/** Depths the kernel tries in one pass over the frames, and numbers of its `Group`. */
const DEPTHS = 16, GROUP_INTS = 3;

/** exhaustiveDepth in SIMD WebAssembly; null where there is none, or no room. */
export function fastDepths(curves: readonly FocusCurve[], tiles: SolveTiles, { order, z, lowest, step, steps, reach }: DepthGrid, spread: readonly Float64Array[] | null): TileDepths | null {
  return withKernel(({ kernel, arena }) => {
    const { count, frames } = tiles, bands = curves.length, groups = Math.ceil(steps / DEPTHS);
    const group = new Int32Array(GROUP_INTS * groups);
    let rows = 0;
    for (let g = 0; g < groups; g++) {
      const first = lowest + g * DEPTHS * step - reach, last = lowest + ((g + 1) * DEPTHS - 1) * step + reach;
      let from = 0, to = frames;
      while (from < frames && z[from] < first) from++;
      while (to > from && z[to - 1] > last) to--;
      group.set([from, to, rows], GROUP_INTS * g);
      rows += to - from;
    }
    // Tables of those spreads only that some tile has.
    const spreads = new Uint8Array(bands * count), wanted = new Set<number>();
    for (let b = 0; b < bands; b++) for (let t = 0; t < count; t++) {
      const s = spread ? nearestSpread(spread[b][t]) : 0;
      spreads[b * count + t] = s;
      wanted.add(b * SPREADS.length + s);
    }
    const groupAt = arena.take(4 * group.length), orderAt = arena.take(4 * frames), lineAt = arena.take(4 * frames), zAt = arena.take(8 * frames), energyAt = arena.take(4 * DEFOCUS_COUNT), takenAt = arena.take(4 * DEPTHS * groups);
    const valuesAt = arena.take(4 * bands * count * frames), weightAt = arena.take(8 * bands * count), tablesAt = arena.take(8 * bands * count);
    const placeAt = arena.take(8 * count), costAt = arena.take(8 * count), amplitudeAt = arena.take(8 * bands * count);
    const tables = new Map([...wanted].map((key) => [key, { table: arena.take(4 * DEPTHS * rows), perSquare: arena.take(4 * DEPTHS * groups) }]));
    const { buffer } = kernel.memory;
    new Int32Array(buffer, groupAt, group.length).set(group);
    new Float64Array(buffer, zAt, frames).set(z);
    const energy = new Float32Array(buffer, energyAt, DEFOCUS_COUNT);
    for (const [key, { table, perSquare }] of tables) {
      const s = key % SPREADS.length;
      energy.set(curves[(key - s) / SPREADS.length].energy.subarray(s * DEFOCUS_COUNT, (s + 1) * DEFOCUS_COUNT));
      kernel.depthTable(energyAt, PER_STEP, LAST, reach, zAt, lowest, step, groupAt, groups, table, perSquare);
    }
    new Int32Array(buffer, orderAt, frames).set(order);
    const ofTile = new Int32Array(buffer, tablesAt, 2 * bands * count);
    for (let b = 0; b < bands; b++) {
      for (let t = 0; t < count; t++) {
        const { table, perSquare } = tables.get(b * SPREADS.length + spreads[b * count + t])!;
        ofTile[2 * (b * count + t)] = table; ofTile[2 * (b * count + t) + 1] = perSquare;
      }
      new Float32Array(buffer, valuesAt + 4 * b * count * frames, count * frames).set(tiles.amplitude[b]);
      new Float64Array(buffer, weightAt + 8 * b * count, count).set(tiles.weight[b]);
    }
    kernel.bestDepths(count, bands, frames, steps, groupAt, groups, valuesAt, orderAt, weightAt, tablesAt, lineAt, takenAt, placeAt, costAt, amplitudeAt);
    return {
      depth: new Float64Array(buffer, placeAt, count).map((place) => lowest + place * step), cost: new Float64Array(buffer, costAt, count).slice(),
      amplitude: curves.map((_, b) => new Float64Array(buffer, amplitudeAt + 8 * b * count, count).slice()),
    };
  });
}

/** Costs by place × frame (as many as fill fours), as exhaustivePosition sums them up, in SIMD WebAssembly; null where there is none, or no room. */
export function fastPositions(curves: readonly FocusCurve[], tiles: SolveTiles, { lowest, step, steps, reach }: Pick<DepthGrid, 'lowest' | 'step' | 'steps' | 'reach'>, depth: ArrayLike<number>,
  amplitude: readonly Float64Array[], spread: readonly Float64Array[] | null): Float32Array | null {
  return withKernel(({ kernel, arena }) => {
    const { count, frames } = tiles, wide = 4 * Math.ceil(frames / 4), places = SPREADS.length * DEFOCUS_COUNT;
    const energiesAt = arena.take(4 * places), spreadAt = arena.take(count), depthAt = arena.take(8 * count), amplitudeAt = arena.take(8 * count), weightAt = arena.take(8 * count);
    const valuesAt = arena.take(4 * count * frames), lineAt = arena.take(4 * wide), byPlaceAt = arena.take(4 * steps * wide);
    const { buffer } = kernel.memory, byPlace = new Float32Array(buffer, byPlaceAt, steps * wide).fill(0), spreads = new Uint8Array(buffer, spreadAt, count).fill(0);
    new Float64Array(buffer, depthAt, count).set(depth);
    curves.forEach(({ energy }, b) => {
      new Float32Array(buffer, energiesAt, places).set(energy);
      if (spread) for (let t = 0; t < count; t++) spreads[t] = nearestSpread(spread[b][t]);
      new Float64Array(buffer, amplitudeAt, count).set(amplitude[b]);
      new Float64Array(buffer, weightAt, count).set(tiles.weight[b]);
      new Float32Array(buffer, valuesAt, count * frames).set(tiles.amplitude[b]);
      kernel.addPlaces(energiesAt, 4 * DEFOCUS_COUNT, PER_STEP, LAST, reach, count, spreadAt, depthAt, amplitudeAt, weightAt, lowest, step, steps, frames, wide, valuesAt, lineAt, byPlaceAt);
    });
    return byPlace.slice();
  });
}
