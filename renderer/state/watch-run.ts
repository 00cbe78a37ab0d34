import type { WatchEvent } from '../../src/contract/host.js';
import { watchAdvice } from '../../src/optics/watch-advice.js';
import { playTone } from '../parts/play-tone.js';
import { problemWords } from './problem-words.js';
import { asWholeSaid, NOT_LOOKED, wholeLookAfter } from './whole-look.js';
import type { WatchState } from './window-state.js';
import type { WindowStore } from './window-store.js';

/** Watches a folder until told to stop, on whatever screen the window is. */
export class WatchRun {
  private running: AbortController | null = null;
  private audio: AudioContext | null = null;
  constructor(private readonly store: WindowStore) {}

  private set(change: Partial<WatchState>): void { this.store.set({ watch: { ...this.store.getState().watch, ...change } }); }

  async start(folder: string): Promise<void> {
    this.running?.abort();
    const running = this.running = new AbortController();
    if (this.store.getState().sound) this.wake();
    this.set({ folder, running: true, event: null, wholeLook: NOT_LOOKED, problem: null });
    try {
      await this.store.host.watch(folder, this.store.getState().settings, (event) => {
        if (running.signal.aborted) return;
        this.take(event);
        const kind = event.kind === 'report' ? watchAdvice(event.report, event.newest).sound : null;
        if (kind && this.audio && this.store.getState().sound) playTone(this.audio, kind);
      }, running.signal);
      if (this.running === running) this.set({ running: false });
    } catch (error) {
      if (this.running === running) this.set({ running: false, problem: running.signal.aborted ? null : problemWords(error, folder) });
    }
  }

  private take(event: WatchEvent): void {
    if (event.kind !== 'report') return this.set({ event });
    const wholeLook = wholeLookAfter(this.store.getState().watch.wholeLook, event);
    this.set({ event: { ...event, report: asWholeSaid(event.report, wholeLook) }, wholeLook });
  }

  stop(): void { this.running?.abort(); }

  /** Back to naming a folder. */
  forget(): void { this.stop(); this.set({ running: false, event: null, wholeLook: NOT_LOOKED, problem: null }); }

  /** Turned on by a press, as browsers ask; the same press lets the good tone be heard, so that one knows it works. */
  setSound(on: boolean): void {
    this.store.set({ sound: on });
    if (on) playTone(this.wake(), 'good');
  }

  /** The three sounds one after another, to learn them before shooting. */
  tryTone(kind: 'good' | 'thin' | 'gap'): void { playTone(this.wake(), kind); }

  private wake(): AudioContext {
    this.audio ??= new AudioContext();
    void this.audio.resume();
    return this.audio;
  }
}
