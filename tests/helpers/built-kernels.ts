import { readFileSync } from 'node:fs';
import { setEngine } from '../../src/io/engine-settings.js';

/** How a kernel is compiled: with products and sums in two steps, and fused. */
export const bothBuilds = (name: 'filters' | 'ladder' | 'coarse') => [`${name}.wasm`, `${name}-fused.wasm`] as const;

/** A kernel as the build made it, with the engine's settings for it made. */
export function builtBytes(file: string, kernels: Parameters<typeof setEngine>[0]): Uint8Array {
  setEngine(kernels);
  return readFileSync(new URL(`../../dist/simd/${file}`, import.meta.url));
}
