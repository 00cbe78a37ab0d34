import { readFile } from 'node:fs/promises';
import path from 'node:path';
import { decodeFrame } from '../../../src/io/decode-frame.js';
import { measureJpeg } from '../../../src/io/measure-jpeg.js';
import { openFolder } from '../../../src/io/open-folder.js';
import { startKernels } from '../../../src/io/start-kernels.js';
import type { FrameSource } from '../../../src/pipeline/frame-source.js';
import { Arena, loadFilters } from '../../../src/simd/filters.js';
import { measurePixels } from '../../../src/simd/measure-pixels.js';

/** A folder's frames read, measured and solved in this thread, by the same decoder, filters and kernels as users' are. */
export async function inProcessSource(folder: string): Promise<FrameSource> {
  await startKernels();
  const { frames } = await openFolder(folder), filters = await loadFilters(await readFile(new URL('../../../dist/simd/filters.wasm', import.meta.url))), fast = { filters, arena: new Arena(filters) };
  return {
    folder, frames,
    async measure(indices, plan, onMeasured) {
      const began = performance.now();
      for (const index of indices) {
        const file = path.join(folder, frames[index].file), quick = await measureJpeg(fast, file, plan);
        onMeasured(index, quick ? quick.measure : measurePixels(fast, await decodeFrame(file, plan.bin), plan));
      }
      return { decodeMs: performance.now() - began };
    },
  };
}
