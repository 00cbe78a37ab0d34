import { constants } from 'node:os';
import { endBySignal } from './end-by-signal.js';

export interface Interrupts {
  signal: AbortSignal;
  /** 128 + the signal's number once one came (130 for Ctrl-C), else null. */
  status(): number | null;
  /** The signal that came, else null. */
  name(): NodeJS.Signals | null;
  dispose(): void;
}

/** Ctrl-C must end the program within a second, even where a library does not listen. */
const PATIENCE_MS = 700;

/**
 * Turns Ctrl-C and a request to terminate into an AbortSignal, so that work can stop tidily.
 * A second Ctrl-C, or work that does not stop in time, ends the process at once; temporary files are
 * removed by their writer's own exit handler.
 */
export function listenForInterrupts(): Interrupts {
  const controller = new AbortController();
  let came: NodeJS.Signals | null = null;
  const statusOf = (name: NodeJS.Signals): number => 128 + constants.signals[name];
  const onSignal = (name: NodeJS.Signals): void => {
    if (came !== null) { endBySignal(name, statusOf(name)); return; }
    came = name;
    controller.abort();
    setTimeout(() => endBySignal(name, statusOf(name)), PATIENCE_MS).unref();
  };
  const names: NodeJS.Signals[] = ['SIGINT', 'SIGTERM', 'SIGHUP'];
  for (const name of names) process.on(name, onSignal);
  return {
    signal: controller.signal,
    status: () => came && statusOf(came),
    name: () => came,
    dispose: () => { for (const name of names) process.off(name, onSignal); },
  };
}
