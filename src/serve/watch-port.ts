import type { Settings, WatchEvent } from '../contract/host.js';

/** Watches a folder that fills and tells after each frame; resolves when the signal fires. */
export type WatchFolder = (folder: string, settings: Settings, onEvent: (event: WatchEvent) => void, signal: AbortSignal) => Promise<void>;
