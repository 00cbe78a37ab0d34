import { readFileSync } from 'node:fs';
import { setEngine } from '../../src/io/engine-settings.js';
import { loadFilters, type Filters } from '../../src/simd/filters.js';

/** The compiled filters: with products and sums in two steps, and fused. */
export const FILTER_FILES = ['filters.wasm', 'filters-fused.wasm'] as const;

export function filterKernel(file: (typeof FILTER_FILES)[number]): Promise<Filters> {
  setEngine('that measure');
  return loadFilters(readFileSync(new URL(`../../dist/simd/${file}`, import.meta.url)));
}
