import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { BrowserWindow, type Session } from 'electron';
import { WINDOW_ORIGIN } from './ipc-names.js';
import { SECURE_PREFERENCES } from './secure-preferences.js';

/** One window: sandboxed, without Node, without ways out of its own page. */
export function openWindow(): BrowserWindow {
  const window = new BrowserWindow({
    width: 1440, height: 900, minWidth: 1024, minHeight: 700, show: false, title: 'Rungwise', autoHideMenuBar: true,
    webPreferences: {
      preload: path.join(path.dirname(fileURLToPath(import.meta.url)), 'preload.cjs'),
      ...SECURE_PREFERENCES,
    },
  });
  lockDown(window);
  window.once('ready-to-show', () => window.show());
  void window.loadURL(`${WINDOW_ORIGIN}/index.html`);
  return window;
}

function lockDown(window: BrowserWindow): void {
  const { webContents } = window;
  webContents.setWindowOpenHandler(() => ({ action: 'deny' }));
  webContents.on('will-navigate', (event) => event.preventDefault());
  webContents.on('will-redirect', (event) => event.preventDefault());
  webContents.on('will-frame-navigate', (event) => event.preventDefault());
  webContents.on('will-attach-webview', (event) => event.preventDefault());
}

/** Nothing that asks for a permission gets it, and no request leaves the window's own scheme. */
export function lockSession(session: Session): void {
  session.setPermissionRequestHandler((_contents, _permission, answer) => answer(false));
  session.setPermissionCheckHandler(() => false);
  session.setDevicePermissionHandler(() => false);
  session.webRequest.onBeforeRequest((details, answer) => answer({ cancel: !/^(rungwise|blob|devtools):/.test(details.url) }));
}
