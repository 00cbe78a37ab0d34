import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';
import { CancelledError, UserError } from '../../contract/errors.js';
import type { AnalysisEvent, Settings } from '../../contract/host.js';
import type { Report } from '../../contract/report.js';
import { openFolder } from '../../io/open-folder.js';
import type { Analysis } from '../analysis-port.js';
import type { StackAnswer, StackOrder } from './stack-messages.js';

const workerFile = createRequire(import.meta.url).resolve('#stack-worker');

interface Waiting { resolve: (report: Report) => void; reject: (error: Error) => void; onEvent: (event: AnalysisEvent) => void }

/**
 * Opens a folder for the window; reading and solving happen in a thread of their own, which keeps the measurements for re-grading.
 * @throws UserError as openFolder does
 */
export async function openAnalysis(folder: string): Promise<Analysis> {
  const source = await openFolder(folder);
  const waiting = new Map<number, Waiting>();
  let worker: Worker | null = null;
  let lastId = 0;

  const failAll = (error: Error): void => { for (const each of waiting.values()) each.reject(error); waiting.clear(); };
  const end = (error: Error): void => { const old = worker; worker = null; void old?.terminate(); failAll(error); };
  const started = (): Worker => {
    if (worker) return worker;
    const fresh = new Worker(workerFile, { workerData: { folder: source.folder } });
    fresh.on('message', (answer: StackAnswer) => {
      const asked = waiting.get(answer.id);
      if (!asked) return;
      if ('event' in answer) { asked.onEvent(answer.event); return; }
      waiting.delete(answer.id);
      // A thread that only keeps measurements must not keep a program from ending.
      if (waiting.size === 0) fresh.unref();
      if ('report' in answer) asked.resolve(answer.report);
      else {
        if (process.env['RUNGWISE_DEBUG']) process.stderr.write(`${answer.detail}\n`);
        asked.reject(answer.error.cancelled ? new CancelledError() : new UserError(answer.error.message, answer.error.remedy));
      }
    });
    fresh.on('error', (error) => { if (worker === fresh) { worker = null; failAll(error); } });
    worker = fresh;
    return fresh;
  };
  const ask = (kind: 'analyse' | 'regrade', settings: Settings, onEvent: (event: AnalysisEvent) => void, id = ++lastId): Promise<Report> => new Promise((resolve, reject) => {
    waiting.set(id, { resolve, reject, onEvent });
    const thread = started();
    thread.ref();
    thread.postMessage({ id, kind, settings } satisfies StackOrder);
  });

  return {
    folder: source.folder,
    cameraModel: source.frames.find((frame) => frame.facts.cameraModel !== null)?.facts.cameraModel ?? null,
    frames: source.frames.map(({ file, rows, columns, problem }) => ({ file, rows, columns, problem })),
    async analyse(settings, onEvent, signal) {
      if (signal.aborted) throw new CancelledError();
      const stop = (): void => end(new CancelledError());
      signal.addEventListener('abort', stop, { once: true });
      try {
        return await ask('analyse', settings, onEvent);
      } finally {
        signal.removeEventListener('abort', stop);
      }
    },
    async regrade(settings, onEvent, signal) {
      if (signal.aborted) throw new CancelledError();
      const id = ++lastId;
      const letGo = (): void => {
        const asked = waiting.get(id);
        waiting.delete(id);
        worker?.postMessage({ id, kind: 'let-go' } satisfies StackOrder);
        if (waiting.size === 0) worker?.unref();
        asked?.reject(new CancelledError());
      };
      signal.addEventListener('abort', letGo, { once: true });
      try {
        return await ask('regrade', settings, onEvent, id);
      } finally {
        signal.removeEventListener('abort', letGo);
      }
    },
    async close() { end(new CancelledError()); },
  };
}
