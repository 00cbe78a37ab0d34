import { withKernel } from './fast-kernel.js';
import type { FrameWindows, WindowSums, WindowsOfBand } from './windows-in-focus.js';

/** Numbers of `Frame` in simd/assembly/windows.ts: f64, then i32. */
const DOUBLES = 17, INTS = 20;

/** addWindows of windows-in-focus.ts in WebAssembly, over all frames; null where there is none, or no room. */
export function fastWindowSums(band: WindowsOfBand, frames: readonly FrameWindows[]): WindowSums | null {
  return withKernel(({ kernel, arena }) => {
    const { row, column, bins, lines, white, squared, depth, edge } = band, windows = row.length, frameAt = arena.take(8 * DOUBLES + 4 * INTS), depthAt = arena.take(8 * depth.length), squaredAt = arena.take(8 * squared.length);
    const whiteAt = arena.take(8 * bins), linesAt = arena.take(4 * bins), rowAt = arena.take(4 * windows), columnAt = arena.take(4 * windows), powerAt = arena.take(4 * windows * bins), placesAt = arena.take(4 * edge * edge), sumsAt = arena.take(24 * bins);
    const { buffer } = kernel.memory, doubles = new Float64Array(buffer, frameAt, DOUBLES), power = new Float32Array(buffer, powerAt, windows * bins), sums = new Float64Array(buffer, sumsAt, 3 * bins).fill(0);
    new Float64Array(buffer, depthAt, depth.length).set(depth);
    new Float64Array(buffer, squaredAt, squared.length).set(squared);
    new Float64Array(buffer, whiteAt, bins).set(white);
    new Int32Array(buffer, linesAt, bins).set(lines);
    new Float32Array(buffer, rowAt, windows).set(row);
    new Float32Array(buffer, columnAt, windows).set(column);
    new Int32Array(buffer, frameAt + 8 * DOUBLES, INTS).set([
      band.gridRows, band.gridColumns, edge, windows, bins, band.most, band.firstBin, band.lastBin, band.centreLine,
      depthAt, squaredAt, whiteAt, linesAt, rowAt, columnAt, powerAt, placesAt, sumsAt, sumsAt + 8 * bins, sumsAt + 16 * bins,
    ]);
    let taken = 0;
    for (const frame of frames) {
      power.set(frame.power);
      doubles.set([
        frame.cosine, frame.sine, frame.downPx, frame.acrossPx, band.halfRows, band.halfColumns, band.tilePx, frame.z, band.defocusStep, band.lastDefocus,
        band.reach, band.stride, band.scale, band.fewest, band.leastEnergy, frame.exposure, frame.noise,
      ]);
      taken += kernel.addWindows(frameAt);
    }
    return { taken, top: sums.slice(0, bins), bottom: sums.slice(bins, 2 * bins), noisy: sums.slice(2 * bins) };
  });
}
