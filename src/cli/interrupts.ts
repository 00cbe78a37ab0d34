import { constants } from 'node:os';

export interface Interrupts {
  signal: AbortSignal;
  /** 128 + the signal's number once one came (130 for Ctrl-C), else null. */
  status(): number | null;
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
  let status: number | null = null;
  const onSignal = (name: NodeJS.Signals): void => {
    if (status !== null) process.exit(status);
    status = 128 + constants.signals[name];
    controller.abort();
    setTimeout(() => process.exit(status ?? 130), PATIENCE_MS).unref();
  };
  const names: NodeJS.Signals[] = ['SIGINT', 'SIGTERM', 'SIGHUP'];
  for (const name of names) process.on(name, onSignal);
  return {
    signal: controller.signal,
    status: () => status,
    dispose: () => { for (const name of names) process.off(name, onSignal); },
  };
}
