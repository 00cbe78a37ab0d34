/** The few message names used on Electron's wire; what is asked over them is declared in src/contract/channels.ts. */
export const IPC = {
  call: 'rungwise:call', bytes: 'rungwise:bytes', stream: 'rungwise:stream', letGo: 'rungwise:let-go', event: 'rungwise:event', done: 'rungwise:done',
} as const;

/** What the window is loaded from; the only address it may ever show. */
export const WINDOW_ORIGIN = 'rungwise://window';
