import type { WireError } from './channels.js';

/** How an answer crosses Electron's boundary: errors as values, because Electron rewrites thrown ones. */
export type BridgeAnswer = { ok: true; value: unknown } | { ok: false; error: WireError };

/** What the preload lays into the window, and all it lays there. */
export interface Bridge {
  call(name: string, ask: unknown): Promise<BridgeAnswer>;
  bytes(name: string, ask: unknown): { answer: Promise<BridgeAnswer>; letGo(): void };
  /** Starts a stream; the returned function lets go of it. `onDone` is called once. */
  stream(name: string, ask: unknown, onEvent: (event: unknown) => void, onDone: (answer: BridgeAnswer) => void): () => void;
  /** Where a dropped file or folder lies. */
  pathOf(dropped: unknown): string | null;
}

/** The name the preload gives it in the window. */
export const BRIDGE_NAME = 'rungwiseBridge';
