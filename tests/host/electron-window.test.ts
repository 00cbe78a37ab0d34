import { EventEmitter } from 'node:events';
import type { BrowserWindowConstructorOptions, Session } from 'electron';
import { beforeEach, describe, expect, it, vi } from 'vitest';

const made: { options: BrowserWindowConstructorOptions; webContents: EventEmitter & { openHandler?: (details: { url: string }) => { action: string } }; loaded: string[] }[] = [];
vi.mock('electron', () => ({
  BrowserWindow: class extends EventEmitter {
    webContents = Object.assign(new EventEmitter(), { setWindowOpenHandler(handler: (details: { url: string }) => { action: string }) { made[made.length - 1].webContents.openHandler = handler; } });
    constructor(options: BrowserWindowConstructorOptions) { super(); made.push({ options, webContents: this.webContents, loaded: [] }); }
    loadURL(address: string): Promise<void> { made[made.length - 1].loaded.push(address); return Promise.resolve(); }
    show(): void { /* nothing to show */ }
  },
}));
const { lockSession, openWindow } = await import('../../electron/open-window.js');
const { windowAnswer } = await import('../../electron/window-answer.js');

/** Expected: issue 4, point 8, and Electron's security checklist (electronjs.org/docs/latest/tutorial/security; from memory). Each test fails when its switch is loosened. */
describe('Electron’s window', () => {
  beforeEach(() => { made.length = 0; openWindow(); });

  it.each([
    ['contextIsolation', true], ['sandbox', true], ['nodeIntegration', false], ['nodeIntegrationInWorker', false], ['nodeIntegrationInSubFrames', false],
    ['webSecurity', true], ['allowRunningInsecureContent', false], ['webviewTag', false],
  ] as const)('%s is %s', (name, value) => {
    expect(made[0].options.webPreferences?.[name]).toBe(value);
  });
  it('switches nothing experimental on', () => {
    const preferences = made[0].options.webPreferences ?? {};
    for (const name of ['experimentalFeatures', 'enableBlinkFeatures', 'disableBlinkFeatures', 'additionalArguments'] as const) expect(preferences[name], name).toBeUndefined();
  });
  it('loads its own page and no other', () => { expect(made[0].loaded).toEqual(['rungwise://window/index.html']); });
  it('opens no further window', () => { expect(made[0].webContents.openHandler?.({ url: 'https://example.org' })).toEqual({ action: 'deny' }); });
  it.each(['will-navigate', 'will-redirect', 'will-frame-navigate', 'will-attach-webview'])('lets nothing pass at %s', (name) => {
    const event = { preventDefault: vi.fn() };
    made[0].webContents.emit(name, event, 'https://example.org');
    expect(event.preventDefault).toHaveBeenCalledOnce();
  });
});

describe('Electron’s session', () => {
  const handlers: { request?: (contents: null, permission: string, answer: (granted: boolean) => void) => void; check?: (contents: null, permission: string) => boolean; device?: () => boolean; before?: (details: { url: string }, answer: (said: { cancel: boolean }) => void) => void } = {};
  lockSession({
    setPermissionRequestHandler: (handler: never) => { handlers.request = handler; }, setPermissionCheckHandler: (handler: never) => { handlers.check = handler; },
    setDevicePermissionHandler: (handler: never) => { handlers.device = handler; }, webRequest: { onBeforeRequest: (handler: never) => { handlers.before = handler; } },
  } as unknown as Session);

  it.each(['media', 'geolocation', 'notifications', 'openExternal', 'fullscreen', 'clipboard-read', 'hid', 'serial', 'usb'])('refuses %s, asked for or looked up', (permission) => {
    const answer = vi.fn();
    handlers.request?.(null, permission, answer);
    expect(answer).toHaveBeenCalledWith(false);
    expect(handlers.check?.(null, permission)).toBe(false);
    expect(handlers.device?.()).toBe(false);
  });
  it.each([['https://example.org/', true], ['http://127.0.0.1:8642/', true], ['file:///etc/passwd', true], ['ws://example.org', true], ['rungwise://window/index.html', false], ['blob:rungwise://window/1', false]])('request to %s is cancelled: %s', (url, cancel) => {
    const answer = vi.fn();
    handlers.before?.({ url }, answer);
    expect(answer).toHaveBeenCalledWith({ cancel });
  });
});

describe('what Electron’s window is served', () => {
  const files = new Map([['/index.html', { bytes: Buffer.from('<!doctype html>'), mediaType: 'text/html', immutable: false }]]);

  it('carries the policy: own files only, no inline script, no evaluation, no framing, no other host', () => {
    const policy = windowAnswer(files, 'rungwise://window/index.html').headers.get('content-security-policy') ?? '';
    const parts = new Map(policy.split('; ').map((part) => [part.split(' ')[0], part.split(' ').slice(1).join(' ')]));
    expect(Object.fromEntries(parts)).toMatchObject({ 'default-src': "'none'", 'script-src': "'self'", 'style-src': "'self'", 'connect-src': "'self'", 'frame-ancestors': "'none'", 'base-uri': "'none'", 'form-action': "'none'" });
    expect(policy).not.toMatch(/unsafe|https?:|data:|\*/);
  });
  it('carries what keeps it from guessing types, telling addresses and using devices', () => {
    const { headers } = windowAnswer(files, 'rungwise://window/index.html');
    expect([headers.get('x-content-type-options'), headers.get('referrer-policy')]).toEqual(['nosniff', 'no-referrer']);
    expect(headers.get('permissions-policy')).toContain('usb=()');
  });
  it.each(['rungwise://window/../package.json', 'rungwise://other/index.html', 'rungwise://window/%2e%2e/%2e%2e/etc/passwd'])('%s is not there, under the same policy', (address) => {
    const answer = windowAnswer(files, address);
    expect(answer.status).toBe(404);
    expect(answer.headers.get('content-security-policy')).toContain("default-src 'none'");
  });
});
