import type { WebPreferences } from 'electron';

/** What a window may: nothing of Node, its own world apart from the preload's, inside the system's sandbox. */
export const SECURE_PREFERENCES = {
  contextIsolation: true, sandbox: true, nodeIntegration: false, nodeIntegrationInWorker: false, nodeIntegrationInSubFrames: false,
  webSecurity: true, allowRunningInsecureContent: false, webviewTag: false, spellcheck: false,
} as const satisfies WebPreferences;
