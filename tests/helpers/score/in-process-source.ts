import path from 'node:path';
import { decodeFrame } from '../../../src/io/decode-frame.js';
import { openFolder } from '../../../src/io/open-folder.js';
import { startKernels } from '../../../src/io/start-kernels.js';
import type { FrameSource } from '../../../src/pipeline/frame-source.js';
import { measurePixels } from '../../../src/simd/measure-pixels.js';

/** A folder's frames read and measured in this thread from the sources, so that no built worker can be out of date; solves run by the kernel, as they do for users. */
export async function inProcessSource(folder: string): Promise<FrameSource> {
  await startKernels();
  const { frames } = await openFolder(folder);
  return {
    folder, frames,
    async measure(indices, plan, onMeasured) {
      const began = performance.now();
      for (const index of indices) {
        const frame = await decodeFrame(path.join(folder, frames[index].file), plan.bin);
        onMeasured(index, measurePixels(null, frame, plan));
      }
      return { decodeMs: performance.now() - began };
    },
  };
}
