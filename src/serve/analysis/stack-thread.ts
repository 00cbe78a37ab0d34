import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';
import type { WireError } from '../../contract/channels.js';
import { CancelledError, UserError } from '../../contract/errors.js';
import type { AnalysisEvent, Settings } from '../../contract/host.js';
import type { Report } from '../../contract/report.js';
import type { OpenedFrames, StackAnswer, StackOrder } from './stack-messages.js';

const workerFile = createRequire(import.meta.url).resolve('#stack-worker');

interface Waiting { resolve: (report: Report) => void; reject: (error: Error) => void; onEvent: (event: AnalysisEvent) => void }

/** The thread that opens one folder, measures it and keeps the measurements, as the host sees it. */
export class StackThread {
  /** What the folder holds; rejects with a UserError as openFolder throws it. */
  readonly opened: Promise<OpenedFrames>;
  /** No question can be asked any more. */
  ended = false;
  private readonly worker: Worker;
  private readonly waiting = new Map<number, Waiting>();
  private failOpening: (error: Error) => void = () => undefined;
  private lastId = 0;

  constructor(folder: string) {
    this.worker = new Worker(workerFile, { workerData: { folder } });
    this.opened = new Promise((resolve, reject) => {
      this.failOpening = reject;
      this.worker.on('message', (answer: StackAnswer) => {
        if ('opened' in answer) resolve(answer.opened);
        else if ('notOpened' in answer) reject(errorOf(answer.notOpened, answer.detail));
        else { this.answered(answer); return; }
        this.rest();
      });
    });
    // Whoever asks a question hears of it there.
    this.opened.catch(() => undefined);
    this.worker.on('error', (error) => this.end(error));
  }

  ask(kind: 'analyse' | 'regrade', settings: Settings, onEvent: (event: AnalysisEvent) => void, signal: AbortSignal, onAbort: (id: number) => void): Promise<Report> {
    const id = ++this.lastId;
    const stop = (): void => onAbort(id);
    signal.addEventListener('abort', stop, { once: true });
    return new Promise<Report>((resolve, reject) => {
      this.waiting.set(id, { resolve, reject, onEvent });
      this.worker.ref();
      this.worker.postMessage({ id, kind, settings } satisfies StackOrder);
    }).finally(() => signal.removeEventListener('abort', stop));
  }

  /** Nobody waits for this answer any more. */
  letGo(id: number): void {
    const asked = this.waiting.get(id);
    this.waiting.delete(id);
    this.worker.postMessage({ id, kind: 'let-go' } satisfies StackOrder);
    this.rest();
    asked?.reject(new CancelledError());
  }

  /** Ends the thread at once; whoever waits gets the error. */
  end(error: Error): void {
    this.ended = true;
    void this.worker.terminate();
    this.failOpening(error);
    for (const each of this.waiting.values()) each.reject(error);
    this.waiting.clear();
  }

  private answered(answer: Exclude<StackAnswer, { opened: unknown } | { notOpened: unknown }>): void {
    const asked = this.waiting.get(answer.id);
    if (!asked) return;
    if ('event' in answer) { asked.onEvent(answer.event); return; }
    this.waiting.delete(answer.id);
    this.rest();
    if ('report' in answer) asked.resolve(answer.report);
    else asked.reject(errorOf(answer.error, answer.detail));
  }

  /** A thread that only keeps measurements must not keep a program from ending. */
  private rest(): void { if (this.waiting.size === 0) this.worker.unref(); }
}

function errorOf(error: WireError, detail: string): Error {
  if (process.env['RUNGWISE_DEBUG']) process.stderr.write(`${detail}\n`);
  return error.cancelled ? new CancelledError() : new UserError(error.message, error.remedy);
}
