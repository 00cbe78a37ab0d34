import { Worker } from 'node:worker_threads';

/** A worker that may be up already. */
interface Ahead { worker: Worker; ready: boolean }
interface Waiting extends Ahead { onReady: () => void; onError: () => void; up: Promise<void> }

const started = new Map<string, Waiting[]>();

/**
 * Starts worker threads that will be wanted soon, while what they are to work on is still looked for: it takes them a tenth of a second to come up.
 * They never keep the process alive.
 * @param file compiled worker module whose first message is that it is ready
 */
export function startAhead(file: string, count: number): void {
  const list = started.get(file) ?? [];
  started.set(file, list);
  while (list.length < count) {
    const worker = new Worker(file), waiting: Waiting = {
      worker, ready: false, onReady: () => { waiting.ready = true; },
      // One that can't start is none; whoever wants workers starts its own, and says what is wrong.
      onError: () => { if (list.includes(waiting)) list.splice(list.indexOf(waiting), 1); },
      up: new Promise((resolve) => { worker.once('message', () => resolve()).once('exit', () => resolve()); }),
    };
    worker.on('message', waiting.onReady).on('error', waiting.onError).unref();
    list.push(waiting);
  }
}

/** Resolves once those that were started ahead, and are not taken yet, are up or have failed. */
export async function aheadUp(file: string): Promise<void> {
  const waiting = [...started.get(file) ?? []];
  // Whoever waits for them has nothing else that keeps its thread alive.
  for (const { worker } of waiting) worker.ref();
  await Promise.all(waiting.map(({ up }) => up));
  for (const one of waiting) if (started.get(file)?.includes(one)) one.worker.unref();
}

/** One that was started ahead; null: none is left. */
export function takeAhead(file: string): Ahead | null {
  const waiting = started.get(file)?.shift();
  if (!waiting) return null;
  const { worker, ready, onReady, onError } = waiting;
  worker.off('message', onReady).off('error', onError).ref();
  return { worker, ready };
}

/** Ends those that nobody took. */
export function endAhead(file: string): void {
  for (const { worker } of started.get(file)?.splice(0) ?? []) void worker.terminate();
}

export function aheadOf(file: string): Worker[] { return (started.get(file) ?? []).map(({ worker }) => worker); }
