import { loadFilters, type Filters } from '../../src/simd/filters.js';
import { bothBuilds, builtBytes } from './built-kernels.js';

export const FILTER_FILES = bothBuilds('filters');

export function filterKernel(file: (typeof FILTER_FILES)[number]): Promise<Filters> { return loadFilters(builtBytes(file, 'that measure')); }
