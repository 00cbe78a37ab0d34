import path from 'node:path';
import { luminanceFromPixels } from '../../../src/image/luminance.js';
import { decodeFrame } from '../../../src/io/decode-frame.js';
import { openFolder } from '../../../src/io/open-folder.js';
import type { FrameSource } from '../../../src/pipeline/frame-source.js';
import { measureFrame } from '../../../src/sharpness/measure-frame.js';

/** A folder's frames read and measured in this thread from the sources, so that no built worker can be out of date. */
export async function inProcessSource(folder: string): Promise<FrameSource> {
  const { frames } = await openFolder(folder);
  return {
    folder, frames,
    async measure(indices, plan, onMeasured) {
      const began = performance.now();
      for (const index of indices) {
        const frame = await decodeFrame(path.join(folder, frames[index].file));
        onMeasured(index, measureFrame(luminanceFromPixels(frame.pixels, frame.rows, frame.columns, frame.channels, plan.bin), plan));
      }
      return { decodeMs: performance.now() - began };
    },
  };
}
