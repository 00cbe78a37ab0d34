import { readFile } from 'node:fs/promises';
import path from 'node:path';
import { measureFile } from '../../../src/io/measure-file.js';
import { openFolder } from '../../../src/io/open-folder.js';
import { startKernels } from '../../../src/io/start-kernels.js';
import type { FrameSource } from '../../../src/pipeline/frame-source.js';
import { Arena, loadFilters } from '../../../src/simd/filters.js';

/** A folder's frames read, measured and solved in this thread, by the same decoder, filters and kernels as users' are. */
export async function inProcessSource(folder: string): Promise<FrameSource> {
  await startKernels();
  const { frames } = await openFolder(folder), filters = await loadFilters(await readFile(new URL('../../../dist/simd/filters-fused.wasm', import.meta.url))), fast = { filters, arena: new Arena(filters) };
  return {
    folder, frames,
    async measure(indices, plan, onMeasured) {
      const began = performance.now();
      for (const index of indices) {
        onMeasured(index, (await measureFile(fast, { file: path.join(folder, frames[index].file), plan })).measure);
      }
      return { decodeMs: performance.now() - began };
    },
  };
}
