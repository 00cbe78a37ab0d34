import { EventEmitter } from 'node:events';
import type { IpcMain, IpcRenderer, WebUtils } from 'electron';

/**
 * Electron's wire without Electron: what goes over it is copied as Electron copies it (the structured clone algorithm), and arrives later.
 * The parts are typed by Electron's own types, so that a call the real module does not have would not compile.
 */
export function electronStandIn(senderUrl: string): { ipcMain: Pick<IpcMain, 'handle' | 'on'>; ipcRenderer: Pick<IpcRenderer, 'invoke' | 'send' | 'on'>; webUtils: Pick<WebUtils, 'getPathForFile'>; destroy(): void } {
  type Main = Pick<IpcMain, 'handle' | 'on'>;
  type Renderer = Pick<IpcRenderer, 'invoke' | 'send' | 'on'>;
  const handlers = new Map<string, Parameters<Main['handle']>[1]>();
  const toMain = new EventEmitter(), toWindow = new EventEmitter();
  let destroyed = false;
  const copy = (values: unknown[]): unknown[] => structuredClone(values);
  const sender = Object.assign(new EventEmitter(), {
    id: 1, isDestroyed: () => destroyed,
    send: (channel: string, ...values: unknown[]) => { const sent = copy(values); setImmediate(() => toWindow.emit(channel, {}, ...sent)); },
  });
  const event = { sender, senderFrame: { url: senderUrl } } as unknown as Parameters<Parameters<Main['handle']>[1]>[0];
  // `on` is overloaded in Electron's types, one signature a built-in name; ours is the general one.
  const handle: Main['handle'] = (channel, handler) => { handlers.set(channel, handler); };
  const invoke: Renderer['invoke'] = async (channel, ...values: unknown[]) => {
    const sent = copy(values);
    await new Promise((resolve) => setImmediate(resolve));
    return copy([await handlers.get(channel)!(event, ...sent)])[0];
  };
  const send: Renderer['send'] = (channel, ...values: unknown[]) => { const sent = copy(values); setImmediate(() => toMain.emit(channel, event, ...sent)); };
  const on = (emitter: EventEmitter) => (channel: string, listener: (...values: unknown[]) => void) => emitter.on(channel, listener);
  const ipcMain: Main = { handle, on: on(toMain) as unknown as Main['on'] };
  const ipcRenderer: Renderer = { invoke, send, on: on(toWindow) as unknown as Renderer['on'] };
  return { ipcMain, ipcRenderer, webUtils: { getPathForFile: () => '/pictures/dropped' }, destroy: () => { destroyed = true; sender.emit('destroyed'); } };
}
