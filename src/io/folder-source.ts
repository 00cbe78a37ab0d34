import { createRequire } from 'node:module';
import { availableParallelism } from 'node:os';
import path from 'node:path';
import { CancelledError } from '../contract/errors.js';
import type { FrameSource, SourceFrame } from '../pipeline/frame-source.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';
import { describeReadError } from './describe-read-error.js';
import type { FrameResult, FrameTask } from './frame-task.js';
import { poolSize } from './pool-size.js';
import { aheadUp, endAhead, startAhead } from './workers-ahead.js';
import { TaskFailedError, TaskUntriedError, WorkerLostError, WorkerPool, WorkerSilentError } from './worker-pool.js';

/** Compiled file, named in package.json so that it is found from the sources as well as from dist. */
const workerFile = createRequire(import.meta.url).resolve('#frame-worker');

/** More are seldom all wanted before the first frame is read. */
const MOST_AHEAD = 4;

/** Starts threads that read frames while it is still looked for what there is to read. */
export function startReaders(): void {
  startAhead(workerFile, Math.min(MOST_AHEAD, availableParallelism()));
}

/** Resolves once those threads are up. */
export const readersUp = (): Promise<void> => aheadUp(workerFile);

/** Ends those for which there was nothing to do. */
export function endReaders(): void { endAhead(workerFile); }

/** No decoder and no drive that still works takes so long for one frame, even where several share a slow line: a 24-megapixel TIFF at less than a megabyte a second. */
const PATIENCE_MS = 120_000, PATIENCE_MS_PER_MEGAPIXEL = 5_000;

const patienceFor = (pixels: number): number => PATIENCE_MS + (PATIENCE_MS_PER_MEGAPIXEL * pixels) / 1e6;

/** Threads that read frames. */
export type FrameThreads = WorkerPool<FrameTask, FrameResult>;

/** One thread for frames of up to so many pixels that come singly: kept until stopped, so that none waits for a thread to start. */
export function keptThread(pixels: number): FrameThreads {
  return new WorkerPool(workerFile, 1, patienceFor(pixels), null);
}

/** Frames of one folder, decoded and measured in worker threads. Reads only. */
export class FolderSource implements FrameSource {
  private readonly pool: FrameThreads;

  /**
   * @param folder absolute path; @param frames in file order, `file` relative to the folder
   * @param worker threads that outlive this source; or what its own run, another than the program's to try what becomes of one that dies
   * @param patienceMs how long a frame may take, to try what becomes of one that never ends
   */
  constructor(readonly folder: string, readonly frames: readonly SourceFrame[], private readonly worker: string | FrameThreads = workerFile, patienceMs?: number) {
    const pixels = Math.max(1, ...frames.map((frame) => frame.rows * frame.columns));
    this.pool = typeof worker === 'string' ? new WorkerPool(worker, poolSize(availableParallelism(), frames.length, pixels), patienceMs ?? patienceFor(pixels)) : worker;
  }

  /** As FrameSource says; `measureMs` besides is the time spent measuring, summed over workers. */
  async measure(indices: readonly number[], plan: MeasurePlan,
    onMeasured: (index: number, measure: FrameMeasure) => void,
    onFailed: (index: number, reason: string) => void,
    signal?: AbortSignal): Promise<{ decodeMs: number; measureMs: number }> {
    if (signal?.aborted) throw new CancelledError();
    const stop = (): void => this.pool.stop(new CancelledError());
    signal?.addEventListener('abort', stop, { once: true });
    const spent = { decodeMs: 0, measureMs: 0 };
    try {
      await Promise.all(indices.map((index) => this.measureOne(index, plan).then((answer) => {
        if (typeof answer === 'string') { onFailed(index, answer); return; }
        spent.decodeMs += answer.decodeMs;
        spent.measureMs += answer.measureMs;
        onMeasured(index, answer.measure);
      })));
    } finally {
      signal?.removeEventListener('abort', stop);
      // Done, or one thing went wrong for all: the memory of the threads is wanted for what follows, and a solve lets no timer come to it.
      if (this.pool !== this.worker) this.pool.stop(new CancelledError());
    }
    return spent;
  }

  /** The measure, or why the frame can't be read. */
  private async measureOne(index: number, plan: MeasurePlan): Promise<FrameResult | string> {
    const { file, rows, columns, problem } = this.frames[index];
    if (problem !== null) return problem;
    try {
      const answer = await this.pool.run({ file: path.join(this.folder, file), plan });
      const { measure } = answer;
      const sameSize = measure.rows === Math.floor(rows / plan.bin) && measure.columns === Math.floor(columns / plan.bin);
      return sameSize ? answer : 'it was replaced by another picture while it was read';
    } catch (error) {
      if (error instanceof WorkerLostError) return `reading it failed badly (${error.message})`;
      if (error instanceof WorkerSilentError) return `reading it came to no end (${error.message}): its drive does not answer, or it is damaged`;
      if (error instanceof TaskUntriedError) return 'it was not tried, since reading others came to no end: check the drive, then check the stack again';
      if (error instanceof TaskFailedError) return describeReadError(error);
      throw error;
    }
  }
}
