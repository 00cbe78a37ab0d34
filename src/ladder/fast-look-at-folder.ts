import { withKernel } from './fast-kernel.js';

/** plainBlockMeans of registration/light-map.ts, of short floats, in WebAssembly; null where there is none, or no room. */
export function fastBlockMeans(brightness: Uint16Array, rows: number, columns: number, down: number, across: number): Float64Array | null {
  return withKernel(({ kernel, arena }) => {
    const codesAt = arena.take(2 * brightness.length), outAt = arena.take(8 * down * across), { buffer } = kernel.memory;
    new Uint16Array(buffer, codesAt, brightness.length).set(brightness);
    kernel.blockMeans(codesAt, rows, columns, down, across, outAt);
    return new Float64Array(buffer, outAt, down * across).slice();
  });
}

/** followPlainly of sharpness/lasting-specks.ts in SIMD WebAssembly; false, and nothing done, where there is none, or no room. */
export function followFast(fine: Uint16Array, least: Uint16Array, largest: Uint16Array): boolean {
  return withKernel(({ kernel, arena }) => {
    const count = fine.length, [codes, low, high] = [fine, least, largest].map((values) => {
      const at = arena.take(2 * count);
      new Uint16Array(kernel.memory.buffer, at, count).set(values);
      return at;
    });
    kernel.leastAndLargest(codes, count, low, high);
    least.set(new Uint16Array(kernel.memory.buffer, low, count));
    largest.set(new Uint16Array(kernel.memory.buffer, high, count));
    return true;
  }) ?? false;
}
