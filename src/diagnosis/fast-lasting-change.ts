import { MOST_COPIED, withKernel } from '../ladder/fast-kernel.js';
import { BLOCK_TILES, CLEAR, type Brightness, type Moment } from './plain-lasting-change.js';

/** plainChangedShares in WebAssembly; null where there is none, or no room. */
export function fastChangedShares({ frames, brightnessChange, inside, gridRows, gridColumns }: Brightness, moments: readonly Moment[]): number[] | null {
  const values = brightnessChange.length, tiles = gridRows * gridColumns, most = Math.ceil(gridRows / BLOCK_TILES) * Math.ceil(gridColumns / BLOCK_TILES);
  return values > MOST_COPIED ? null : withKernel(({ kernel, arena }) => {
    const changeAt = arena.take(4 * values), insideAt = arena.take(tiles), blocksAt = arena.take(8 * (most + 1) * frames), frameAt = arena.take(4 * frames), axesAt = [0, 1, 2].map(() => arena.take(8 * frames)), { buffer } = kernel.memory;
    new Float32Array(buffer, changeAt, values).set(brightnessChange);
    new Uint8Array(buffer, insideAt, tiles).set(inside);
    const blocks = kernel.blockBrightness(changeAt, insideAt, gridRows, gridColumns, frames, BLOCK_TILES, blocksAt);
    return moments.map(({ frame, step, fit, allowed }) => {
      new Int32Array(buffer, frameAt, frames).set(frame);
      [step, ...fit].forEach((axis, i) => new Float64Array(buffer, axesAt[i], frames).set(axis));
      return kernel.changedBlocks(blocksAt, blocks, frames, frameAt, frame.length, axesAt[0], axesAt[1], axesAt[2], allowed, CLEAR) / Math.max(1, blocks);
    });
  });
}
