import type { DepthGrid, TileDepths } from './exhaustive-depth.js';
import { withKernel, type FastKernel } from './fast-kernel.js';
import { SPREADS, type FocusCurve } from './focus-curve.js';
import { nearestSpread } from './nearest-spread.js';
import { DEFOCUS_COUNT } from './otf-table.js';
import { LAST, PER_STEP } from './plain-tile-pass.js';
import { leastVariance, MODEL_ERROR, type SolveTiles } from './solve-tiles.js';
import type { TileStack } from './tile-stack.js';

/** Depths the kernel tries in one pass over the frames, and numbers of its `Group`. */
const DEPTHS = 16, GROUP_INTS = 3;

/** exhaustiveDepth in SIMD WebAssembly; null where there is none, or no room. */
export function fastDepths(curves: readonly FocusCurve[], tiles: SolveTiles, grid: DepthGrid, spread: readonly Float64Array[] | null): TileDepths | null {
  const { count, frames } = tiles;
  return withKernel((fast) => {
    const { buffer, placeAt, costAt, amplitudeAt } = depthsIn(fast, curves, count, frames, grid, spread, 0, (buffer, b, valuesAt, weightAt) => {
      new Float32Array(buffer, valuesAt, count * frames).set(tiles.amplitude[b]);
      new Float64Array(buffer, weightAt, count).set(tiles.weight[b]);
    });
    return {
      depth: depthsAt(buffer, placeAt, count, grid), cost: new Float64Array(buffer, costAt, count).slice(),
      amplitude: curves.map((_, b) => new Float64Array(buffer, amplitudeAt + 8 * b * count, count).slice()),
    };
  });
}

/** Depths alone, without depth spread, of tiles that are read from the stack there and then; null where there is none, or no room. @param tile ascending places in the stack's grid */
export function fastDepthsOfTiles(stack: TileStack, curves: readonly FocusCurve[], tile: Int32Array, grid: DepthGrid): Float64Array | null {
  const { frames } = stack, count = tile.length, first = tile[0], rows = tile[count - 1] - first + 1, tileBytes = 4 * count, noiseBytes = 8 * frames;
  return withKernel((fast) => {
    const { buffer, placeAt } = depthsIn(fast, curves, count, frames, grid, null, tileBytes + 8 + noiseBytes + 4 * rows * frames, (buffer, b, valuesAt, weightAt, tileAt) => {
      const noiseAt = (tileAt + tileBytes + 7) & ~7, energyAt = noiseAt + noiseBytes;
      new Int32Array(buffer, tileAt, count).set(tile);
      new Float64Array(buffer, noiseAt, frames).set(stack.noise[b]);
      new Float32Array(buffer, energyAt, rows * frames).set(stack.energy[b].subarray(first * frames, (first + rows) * frames));
      fast.kernel.takeAmplitudes(energyAt, tileAt, first, count, frames, noiseAt, leastVariance(stack, b), MODEL_ERROR ** 2, valuesAt, weightAt);
    });
    return depthsAt(buffer, placeAt, count, grid);
  });
}

function depthsAt(buffer: ArrayBuffer, placeAt: number, count: number, { lowest, step }: DepthGrid): Float64Array {
  const depth = new Float64Array(buffer, placeAt, count).slice();
  for (let t = 0; t < count; t++) depth[t] = lowest + depth[t] * step;
  return depth;
}

/**
 * @param room bytes that `fill` needs
 * @param fill puts a band's amplitudes (f32, tile × frame) and their weights (f64) where they belong
 */
function depthsIn({ kernel, arena }: FastKernel, curves: readonly FocusCurve[], count: number, frames: number, { order, z, lowest, step, steps, reach }: DepthGrid, spread: readonly Float64Array[] | null, room: number,
  fill: (buffer: ArrayBuffer, b: number, valuesAt: number, weightAt: number, roomAt: number) => void): { buffer: ArrayBuffer; placeAt: number; costAt: number; amplitudeAt: number } {
  const bands = curves.length, groups = Math.ceil(Math.ceil(steps / 2) / DEPTHS), kinds = SPREADS.length, group = new Int32Array(GROUP_INTS * groups);
  let rows = 0;
  for (let g = 0; g < groups; g++) {
    const first = lowest + 2 * g * DEPTHS * step - reach, last = lowest + (2 * (g + 1) * DEPTHS - 1) * step + reach;
    let from = 0, to = frames;
    while (from < frames && z[from] < first) from++;
    while (to > from && z[to - 1] > last) to--;
    group.set([from, to, rows], GROUP_INTS * g);
    rows += to - from;
  }
  // Tables of those spreads only that some tile has.
  const spreads = new Uint8Array(bands * count), wanted = new Uint8Array(bands * kinds);
  if (spread) spread.forEach((values, b) => { for (let t = 0, i = b * count; t < count; t++, i++) wanted[b * kinds + (spreads[i] = nearestSpread(values[t]))] = 1; });
  else for (let b = 0; b < bands; b++) wanted[b * kinds] = 1;
  const groupAt = arena.take(4 * group.length), orderAt = arena.take(4 * frames), lineAt = arena.take(4 * frames), zAt = arena.take(8 * frames), energyAt = arena.take(4 * DEFOCUS_COUNT), takenAt = arena.take(4 * DEPTHS * groups);
  const valuesAt = arena.take(4 * bands * count * frames), weightAt = arena.take(8 * bands * count), spreadsAt = arena.take(spreads.length), tablesAt = arena.take(16 * wanted.length);
  const placeAt = arena.take(8 * count), costAt = arena.take(8 * count), amplitudeAt = arena.take(8 * bands * count), roomAt = arena.take(room);
  // Of each kind what is shown and 1/Σ square, of the even places on the grid and of the odd ones.
  const tables = new Int32Array(4 * wanted.length);
  for (let i = 0; i < tables.length; i += 2) if (wanted[i >> 2]) { tables[i] = arena.take(4 * DEPTHS * rows); tables[i + 1] = arena.take(4 * DEPTHS * groups); }
  const { buffer } = kernel.memory;
  new Int32Array(buffer, groupAt, group.length).set(group);
  new Float64Array(buffer, zAt, frames).set(z);
  const energy = new Float32Array(buffer, energyAt, DEFOCUS_COUNT);
  for (let i = 0; i < wanted.length; i++) {
    if (!wanted[i]) continue;
    const s = i % kinds;
    energy.set(curves[(i - s) / kinds].energy.subarray(s * DEFOCUS_COUNT, (s + 1) * DEFOCUS_COUNT));
    for (let odd = 0, own = 4 * i; odd < 2; odd++, own += 2) kernel.depthTable(energyAt, PER_STEP, LAST, reach, zAt, lowest + odd * step, 2 * step, groupAt, groups, tables[own], tables[own + 1]);
  }
  new Int32Array(buffer, orderAt, frames).set(order);
  new Uint8Array(buffer, spreadsAt, spreads.length).set(spreads);
  new Int32Array(buffer, tablesAt, tables.length).set(tables);
  for (let b = 0; b < bands; b++) fill(buffer, b, valuesAt + 4 * b * count * frames, weightAt + 8 * b * count, roomAt);
  kernel.bestDepths(count, bands, frames, steps, groupAt, groups, valuesAt, orderAt, weightAt, spreadsAt, tablesAt, kinds, lineAt, takenAt, placeAt, costAt, amplitudeAt);
  return { buffer, placeAt, costAt, amplitudeAt };
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
