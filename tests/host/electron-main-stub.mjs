// Stands in for Electron's module where the built main program is run without Electron: records what it is asked, and prints that in the end.
const calls = [];
const note = (name, ...values) => { calls.push([name, ...values]); };
/** Records by name whatever is called; listeners and handlers are kept to be tried. */
const handlers = new Map();
const keep = (prefix) => (name, handler) => { note(`${prefix}.${name}`); handlers.set(`${prefix}.${name}`, handler); };

export const app = { isPackaged: false, enableSandbox: () => note('enableSandbox'), whenReady: async () => { note('whenReady'); if (process.env.HANDED_OVER) handlers.get('app.open-file')?.({ preventDefault: () => undefined }, process.env.HANDED_OVER); }, on: keep('app'), quit: () => undefined };
export class BrowserWindow {
  webContents = { setWindowOpenHandler: (handler) => { handlers.set('open', handler); }, on: keep('contents') };
  constructor(options) { note('window', options.webPreferences); }
  once() {}
  show() {}
  async loadURL(url) { note('loadURL', url); }
}
export const dialog = { showErrorBox: (_title, line) => note('errorBox', line), showOpenDialog: async () => ({ filePaths: [] }) };
export const ipcMain = { handle: keep('ipc'), on: () => undefined };
export const Menu = { setApplicationMenu: () => undefined };
export const protocol = { registerSchemesAsPrivileged: (schemes) => note('schemes', schemes), handle: () => undefined };
export const session = {
  defaultSession: {
    setPermissionRequestHandler: (handler) => handlers.set('ask', handler), setPermissionCheckHandler: (handler) => handlers.set('check', handler), setDevicePermissionHandler: (handler) => handlers.set('device', handler),
    webRequest: { onBeforeRequest: (handler) => handlers.set('request', handler) },
  },
};

setTimeout(async () => {
  const permissions = ['media', 'geolocation', 'notifications', 'openExternal', 'fileSystem', 'serial', 'usb'];
  let prevented = 0;
  const event = { preventDefault: () => { prevented++; } };
  for (const name of ['contents.will-navigate', 'contents.will-redirect', 'contents.will-frame-navigate', 'contents.will-attach-webview']) handlers.get(name)?.(event);
  const asked = permissions.map((permission) => { let answer; handlers.get('ask')?.(null, permission, (given) => { answer = given; }); return answer; });
  const request = (url) => { let answer; handlers.get('request')?.({ url }, (given) => { answer = given; }); return answer?.cancel; };
  const urls = ['https://example.org/', 'http://127.0.0.1/', 'file:///etc/passwd', 'ftp://example.org', 'ws://example.org', 'data:text/html,x', 'rungwise://window/index.html', 'blob:rungwise://window/1'];
  // Questions no window of ours would ask, from its own page.
  const ourPage = { sender: { id: 1 }, senderFrame: { url: 'rungwise://window/index.html' } };
  const answers = await Promise.all([['constructor', null], ['list-folders', { folder: 3 }]].map(([name, ask]) => handlers.get('ipc.rungwise:call')?.(ourPage, name, ask)));
  console.log(JSON.stringify({
    answers, calls, prevented, asked, checked: permissions.map((permission) => handlers.get('check')?.(null, permission)), opened: handlers.get('open')?.({ url: 'https://example.org' }),
    cancelled: Object.fromEntries(urls.map((url) => [url, request(url)])),
  }));
  process.exit(0);
}, 1_500);
