import { measurePixels, type FastFilters } from '../simd/measure-pixels.js';
import { decodeFrame } from './decode-frame.js';
import type { FrameResult, FrameTask } from './frame-task.js';
import { measureJpeg } from './measure-jpeg.js';

/**
 * Reads and measures one frame: as it is decoded where that can be, else from its pixels.
 * @param fast null where the platform lacks the filters
 * @throws Error as decodeFrame does
 */
export async function measureFile(fast: FastFilters | null, { file, plan }: FrameTask): Promise<FrameResult> {
  const began = performance.now(), quick = fast && await measureJpeg(fast, file, plan);
  if (quick) return { ...quick, measureMs: performance.now() - began - quick.decodeMs };
  const frame = await decodeFrame(file, plan.bin), decoded = performance.now();
  return { measure: measurePixels(fast, frame, plan), decodeMs: decoded - began, measureMs: performance.now() - decoded };
}
