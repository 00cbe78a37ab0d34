import { readFile } from 'node:fs/promises';
import { parentPort } from 'node:worker_threads';
import type { FrameMeasure } from '../sharpness/measure-plan.js';
import { Arena, loadFilters, type Filters } from '../simd/filters.js';
import type { FastFilters } from '../simd/measure-pixels.js';
import { setEngine } from './engine-settings.js';
import type { FrameResult, FrameTask } from './frame-task.js';
import { measureFile } from './measure-file.js';
import type { WorkerAnswer } from './worker-pool.js';

const port = parentPort;
if (port === null) throw new Error('frame-worker runs as a worker thread only');

const answer = (message: WorkerAnswer<FrameResult>, transfer: ArrayBuffer[] = []): void => port.postMessage(message, transfer);

let fast: Promise<FastFilters | null> | null = null;

/** The filters in SIMD WebAssembly; null where the platform lacks it. */
function start(): Promise<FastFilters | null> {
  setEngine('that measure');
  const load = (file: URL): Promise<Filters> => readFile(file).then(loadFilters);
  // The same arithmetic but for the rounding of products that are added up, and a sixteenth faster; not every engine has it.
  return load(new URL('../simd/filters-fused.wasm', import.meta.url)).catch(() => load(new URL('../simd/filters.wasm', import.meta.url)))
    .then((filters) => ({ filters, arena: new Arena(filters) }), () => null);
}

/** Buffers to hand over instead of copying. */
function buffersOf(measure: FrameMeasure): ArrayBuffer[] {
  const { energy, brightness, clipped, registration, spectra } = measure;
  const arrays = [...energy, brightness, ...(clipped ? [clipped] : []), registration.pixels, ...spectra.flatMap((windows) => (windows ? [windows.row, windows.column, windows.power] : []))];
  return [...new Set(arrays.map((array) => array.buffer as ArrayBuffer))];
}

// One after the other: the filters' memory is that of one frame.
let before: Promise<void> = Promise.resolve();
port.on('message', (task: FrameTask) => {
  before = before.then(async () => measureFile(await (fast ??= start()), task)).then(
    (result) => answer({ result }, buffersOf(result.measure)),
    (error: unknown) => answer({ failed: error instanceof Error ? error.message : String(error) }),
  );
});
answer({ ready: true });
