import { afterEach, describe, expect, it, vi } from 'vitest';
import { answerIpc } from '../../electron/answer-ipc.js';
import { WINDOW_ORIGIN } from '../../electron/ipc-names.js';
import { makeBridge } from '../../electron/make-bridge.js';
import { hostOverMessages } from '../../renderer/host/host-over-messages.js';
import { messagesOverBridge } from '../../renderer/host/messages-over-bridge.js';
import { messagesOverHttp } from '../../renderer/host/messages-over-http.js';
import type { Messages } from '../../src/contract/channels.js';
import { checkedMessages } from '../../src/serve/checked-messages.js';
import { startLoopbackServer } from '../../src/serve/http/loopback-server.js';
import { electronStandIn } from './electron-stand-in.js';
import { hostConformance } from './host-conformance.js';

const plainFetch = globalThis.fetch, tokens = new Map<string, string>();
hostConformance('loopback', async (backend) => {
  const server = await startLoopbackServer({ backend, windowFolder: 'no-window', port: null });
  tokens.set(String(server.port), server.token);
  // A browser sends the cookie by itself; here the token goes in its header instead.
  vi.stubGlobal('fetch', (address: string, init: RequestInit) => plainFetch(address, { ...init, headers: { ...init.headers as Record<string, string>, 'x-rungwise-token': tokens.get(new URL(address).port)! } }));
  return {
    host: hostOverMessages('browser', messagesOverHttp(`http://127.0.0.1:${server.port}`)),
    close: async () => { tokens.delete(String(server.port)); if (tokens.size === 0) vi.unstubAllGlobals(); await server.close(); },
  };
});

hostConformance('Electron, against a stand-in for its wire', async (backend) => {
  const wire = electronStandIn(`${WINDOW_ORIGIN}/index.html`);
  answerIpc(wire.ipcMain, checkedMessages(backend));
  const bridge = makeBridge(wire.ipcRenderer, wire.webUtils);
  return { host: hostOverMessages('desktop', messagesOverBridge(bridge), (handle) => bridge.pathOf(handle)), close: async () => undefined };
});

describe('Electron’s wire', () => {
  afterEach(() => vi.restoreAllMocks());
  const silent: Messages = { call: async () => { throw new Error('reached'); }, bytes: async () => { throw new Error('reached'); }, stream: async () => { throw new Error('reached'); } };

  // The last begins like our own address and is another's.
  it.each(['https://example.org/index.html', 'file:///index.html', `${WINDOW_ORIGIN}.example.org/index.html`])('does not answer another page (%s), nor does anything for it', async (address) => {
    const wire = electronStandIn(address), bridge = makeBridge(wire.ipcRenderer, wire.webUtils), heard: unknown[] = [];
    let reached = 0;
    const counting = async (): Promise<never> => { reached++; throw new Error('reached'); };
    answerIpc(wire.ipcMain, checkedMessages({ call: counting, bytes: counting, stream: counting }));
    const refused = { ok: false, error: { message: 'Asked by another page.', remedy: '', cancelled: false } };
    expect(await bridge.call('start', null)).toEqual(refused);
    expect(await bridge.bytes('picture', { stackId: 'a', picture: 'b', level: 0, row: 0, column: 0, rows: 1, columns: 1 }).answer).toEqual(refused);
    bridge.stream('watch', { folder: '/x', settings: { entered: {}, rigCard: null, overlap: 0.3, outputWidthPx: null } }, (event) => heard.push(event), (answer) => heard.push(answer));
    // Messages and their answers take a turn of the loop each.
    for (let turn = 0; turn < 5; turn++) await new Promise((resolve) => setImmediate(resolve));
    expect([reached, heard]).toEqual([0, []]);
  });
  it('lets no message through that is not declared, or not well formed', async () => {
    const wire = electronStandIn(`${WINDOW_ORIGIN}/index.html`), bridge = makeBridge(wire.ipcRenderer, wire.webUtils);
    answerIpc(wire.ipcMain, checkedMessages(silent));
    for (const [name, ask] of [['constructor', null], ['eval', null], ['list-folders', { folder: 3 }]] as const) {
      expect(await bridge.call(name, ask), name).toMatchObject({ ok: false, error: { message: expect.stringMatching(/this version does not know|out of range/) as string } });
    }
  });

  it('ends a stream when its window is gone', async () => {
    const wire = electronStandIn(`${WINDOW_ORIGIN}/index.html`);
    const ended = new Promise<boolean>((resolve) => {
      answerIpc(wire.ipcMain, checkedMessages({ ...silent, stream: async (_name, _ask, onEvent, signal) => {
        onEvent({ kind: 'waiting', frames: 0, message: '' } as never);
        signal.addEventListener('abort', () => resolve(signal.aborted));
        await new Promise(() => undefined);
      } }));
    });
    makeBridge(wire.ipcRenderer, wire.webUtils).stream('watch', { folder: '/x', settings: { entered: {}, rigCard: null, overlap: 0.3, outputWidthPx: null } }, () => wire.destroy(), () => undefined);
    expect(await ended).toBe(true);
  });
});
