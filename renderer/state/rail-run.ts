import { CancelledError } from '../../src/contract/errors.js';
import type { RailRequest } from '../../src/contract/rail.js';
import { problemWords } from './problem-words.js';
import type { RailState } from './window-state.js';
import type { WindowStore } from './window-store.js';

/** Measures a rail: reads the stack of a target once, then works the figures out anew whenever tilt, units or optics change. */
export class RailRun {
  private running: AbortController | null = null;
  private asked = 0;
  constructor(private readonly store: WindowStore) {}

  private set(change: Partial<RailState>): void { this.store.set({ rail: { ...this.store.getState().rail, ...change } }); }

  async open(folder: string): Promise<void> {
    this.running?.abort();
    const running = this.running = new AbortController();
    this.set({ phase: 'reading', stack: null, report: null, result: null, problem: null, progress: null });
    try {
      const { host } = this.store, stack = await host.openStack(folder);
      if (running.signal.aborted) return;
      this.set({ stack });
      const report = await host.analyse(stack.stackId, this.store.getState().settings, (event) => {
        if (event.kind === 'progress' && !running.signal.aborted) this.set({ progress: event.progress });
      }, running.signal);
      if (running.signal.aborted) return;
      this.set({ report });
      await this.measure();
    } catch (error) {
      if (this.running === running) this.set(error instanceof CancelledError ? { phase: 'idle' } : { phase: 'failed', problem: problemWords(error, folder) });
    }
  }

  cancel(): void {
    this.running?.abort();
    if (this.store.getState().rail.phase === 'reading') this.set({ phase: 'idle' });
  }

  request(change: Partial<RailRequest>): void {
    this.set({ request: { ...this.store.getState().rail.request, ...change } });
    if (this.store.getState().rail.report) void this.measure();
  }

  /** The optics changed: judged anew, roughly at once, then as refined. */
  async regrade(): Promise<void> {
    const { rail: { stack, report }, settings } = this.store.getState();
    if (!stack || !report) return;
    this.running?.abort();
    const running = this.running = new AbortController();
    const show = async (next: typeof report): Promise<void> => { if (!running.signal.aborted) { this.set({ report: next }); await this.measure(); } };
    try {
      await show(await this.store.host.regrade(stack.stackId, settings, (event) => { if (event.kind === 'partial') void show(event.report); }, running.signal));
    } catch (error) {
      if (!(error instanceof CancelledError)) this.set({ problem: problemWords(error, stack.folder) });
    }
  }

  private async measure(): Promise<void> {
    const { stack, request } = this.store.getState().rail;
    if (!stack) return;
    const asked = ++this.asked;
    try {
      const result = await this.store.host.rail(stack.stackId, request);
      if (asked === this.asked) this.set({ phase: 'ready', result, problem: null });
    } catch (error) {
      if (asked === this.asked) this.set({ phase: 'failed', problem: problemWords(error, stack.folder) });
    }
  }
}
