import { readFile } from 'node:fs/promises';
import { parentPort } from 'node:worker_threads';
import sharp from 'sharp';
import { luminanceFromPixels } from '../image/luminance.js';
import { measureFrame } from '../sharpness/measure-frame.js';
import type { FrameMeasure } from '../sharpness/measure-plan.js';
import { fastMeasure } from '../simd/fast-measure.js';
import { Arena, loadFilters, type Filters } from '../simd/filters.js';
import { decodeFrame } from './decode-frame.js';
import type { FrameResult, FrameTask } from './frame-task.js';
import type { WorkerAnswer } from './worker-pool.js';

// One thread a frame, nothing kept: the pool is what runs side by side, and memory is what is short.
sharp.cache(false);
sharp.concurrency(1);

const port = parentPort;
if (port === null) throw new Error('frame-worker runs as a worker thread only');

const answer = (message: WorkerAnswer<FrameResult>, transfer: ArrayBuffer[] = []): void => port.postMessage(message, transfer);

/** The filters in SIMD WebAssembly; null where the platform lacks it: the plain ones give the same numbers, slower. */
const fast: Promise<{ filters: Filters; arena: Arena } | null> = readFile(new URL('../simd/filters.wasm', import.meta.url))
  .then((bytes) => loadFilters(bytes)).then((filters) => ({ filters, arena: new Arena(filters) }), () => null);

async function readFrame({ file, plan }: FrameTask): Promise<FrameResult> {
  const began = performance.now();
  const frame = await decodeFrame(file);
  const decoded = performance.now();
  const { pixels, rows, columns, channels } = frame, simd = await fast;
  const measure = simd && pixels instanceof Uint8Array ? fastMeasure(simd.filters, simd.arena, pixels, rows, columns, channels, plan)
    : measureFrame(luminanceFromPixels(pixels, rows, columns, channels, plan.bin), plan);
  return { measure, decodeMs: decoded - began, measureMs: performance.now() - decoded };
}

/** Buffers to hand over instead of copying. */
function buffersOf(measure: FrameMeasure): ArrayBuffer[] {
  const { energy, brightness, clipped, registration, windows } = measure;
  const arrays = [...energy, brightness, clipped, registration.pixels, windows.row, windows.column, windows.power];
  return [...new Set(arrays.map((array) => array.buffer as ArrayBuffer))];
}

port.on('message', (task: FrameTask) => {
  readFrame(task).then(
    (result) => answer({ result }, buffersOf(result.measure)),
    (error: unknown) => answer({ failed: error instanceof Error ? error.message : String(error) }),
  );
});
answer({ ready: true });
