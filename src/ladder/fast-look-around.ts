import type { MeasurePlan } from '../sharpness/measure-plan.js';
import { withKernel } from './fast-kernel.js';
import type { LocalMeans, Surroundings } from './local-energy.js';
import { BEND_NOISE, BLOCK, MEDIAN_OF_ROUGH, MOST_BEND, MOST_SCATTER, MOST_STEP, ROUGH_REACH, seenWindows, shownShares, UNSEEN_SHARE } from './plain-seen-depths.js';
import type { SeenDepths } from './seen-depths.js';

/** plainSeenDepths in WebAssembly; null where there is none, or no room. */
export function fastSeenDepths(depth: Float64Array, rows: number, columns: number, plan: MeasurePlan, variance: number, asked: Int32Array): SeenDepths | null {
  return withKernel(({ kernel, arena }) => {
    const tiles = rows * columns, count = asked.length, windows = seenWindows(plan), bands = windows.length, blocks = Math.ceil(rows / BLOCK) * Math.ceil(columns / BLOCK);
    const laws = [UNSEEN_SHARE, MOST_SCATTER, MEDIAN_OF_ROUGH, BEND_NOISE, MOST_STEP, MOST_BEND];
    const depthAt = arena.take(8 * tiles), acrossAt = arena.take(8 * blocks), downAt = arena.take(8 * blocks), bendsAt = arena.take(8 * tiles), roughAt = arena.take(8 * tiles), foldAt = arena.take(8 * tiles);
    const roomAt = arena.take(8 * Math.max(tiles, 2 * BLOCK ** 2)), lawsAt = arena.take(8 * laws.length), windowsAt = arena.take(8 * bands), shownAt = arena.take(8 * bands), askedAt = arena.take(4 * count);
    const spreadAt = arena.take(8 * bands * count), bendAt = arena.take(8 * bands * count);
    // Fields of `Map` in simd/assembly/look-around.ts, in its order.
    const map = [rows, columns, depthAt, BLOCK, ROUGH_REACH, acrossAt, downAt, bendsAt, roughAt, foldAt, roomAt, lawsAt], mapAt = arena.take(4 * map.length);
    const { buffer } = kernel.memory;
    new Int32Array(buffer, mapAt, map.length).set(map);
    new Float64Array(buffer, depthAt, tiles).set(depth);
    new Float64Array(buffer, lawsAt, laws.length).set(laws);
    new Float64Array(buffer, windowsAt, bands).set(windows);
    new Float64Array(buffer, shownAt, bands).set(shownShares(plan));
    new Int32Array(buffer, askedAt, count).set(asked);
    kernel.seenDepths(mapAt, variance, bands, windowsAt, shownAt, askedAt, count, spreadAt, bendAt);
    const ofBands = (at: number): Float64Array[] => windows.map((_, b) => new Float64Array(buffer, at + 8 * b * count, count).slice()), folds = new Float64Array(buffer, foldAt, tiles), fold = new Float64Array(count);
    for (let n = 0; n < count; n++) fold[n] = folds[asked[n]];
    return { spread: ofBands(spreadAt), bend: ofBands(bendAt), fold };
  });
}

/** Shares of other surfaces around tiles, as edge-trust.ts counts them, in WebAssembly; null where there is none, or no room. */
export function fastOtherShares(depth: Float64Array, rows: number, columns: number, asked: Int32Array, reach: number, limit: number): Float64Array | null {
  return withKernel(({ kernel, arena }) => {
    const count = asked.length, depthAt = arena.take(8 * depth.length), askedAt = arena.take(4 * count), outAt = arena.take(8 * count), { buffer } = kernel.memory;
    new Float64Array(buffer, depthAt, depth.length).set(depth);
    new Int32Array(buffer, askedAt, count).set(asked);
    kernel.otherShares(depthAt, rows, columns, askedAt, count, reach, limit, outAt);
    return new Float64Array(buffer, outAt, count).slice();
  });
}

/** Means around tiles, as local-energy.ts forms them, in WebAssembly; null where there is none, or no room. */
export function fastLocalMeans(tile: Int32Array, rows: number, columns: number, depth: Float64Array, own: readonly Float64Array[], { reach, limit, least }: Surroundings): LocalMeans | null {
  return withKernel(({ kernel, arena }) => {
    const count = tile.length, bands = own.length, tileAt = arena.take(4 * count), depthAt = arena.take(8 * count), ownAt = arena.take(8 * bands * count), placeAt = arena.take(4 * rows * columns);
    const nearAt = arena.take(4 * (2 * reach + 1) ** 2), meanAt = arena.take(8 * bands * count), enoughAt = arena.take(count), { buffer } = kernel.memory;
    new Int32Array(buffer, tileAt, count).set(tile);
    new Float64Array(buffer, depthAt, count).set(depth);
    own.forEach((values, b) => new Float64Array(buffer, ownAt + 8 * b * count, count).set(values));
    kernel.localMeans(tileAt, count, rows, columns, depthAt, bands, ownAt, reach, limit, least, placeAt, nearAt, meanAt, enoughAt);
    return { energy: own.map((_, b) => new Float64Array(buffer, meanAt + 8 * b * count, count).slice()), enough: new Uint8Array(buffer, enoughAt, count).slice() };
  });
}
