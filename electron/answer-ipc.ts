import type { IpcMain, IpcMainEvent, IpcMainInvokeEvent } from 'electron';
import type { BridgeAnswer } from '../src/contract/bridge.js';
import { CancelledError } from '../src/contract/errors.js';
import type { UncheckedMessages } from '../src/serve/checked-messages.js';
import { wireError } from '../src/serve/wire-error.js';
import { IPC, WINDOW_ORIGIN } from './ipc-names.js';

const REFUSED: BridgeAnswer = { ok: false, error: { message: 'Asked by another page.', remedy: '', cancelled: false } };

/** Answers the window's messages. Only our own page is answered, and only what the checks let through reaches the backend. */
export function answerIpc(ipcMain: Pick<IpcMain, 'handle' | 'on'>, messages: UncheckedMessages): void {
  const running = new Map<string, AbortController>();

  const one = (channel: string, ask: (name: string, question: unknown, signal: AbortSignal) => Promise<unknown>): void => {
    ipcMain.handle(channel, async (event: IpcMainInvokeEvent, name: unknown, question: unknown, id: unknown): Promise<BridgeAnswer> => {
      if (!isOurs(event) || typeof name !== 'string') return REFUSED;
      const gone = new AbortController(), key = typeof id === 'number' ? `${event.sender.id}/${id}` : null;
      if (key !== null) running.set(key, gone);
      try {
        return { ok: true, value: await ask(name, question, gone.signal) };
      } catch (error) {
        return { ok: false, error: wireError(error) };
      } finally {
        if (key !== null) running.delete(key);
      }
    });
  };
  one(IPC.call, (name, question) => messages.call(name, question));
  one(IPC.bytes, (name, question, signal) => messages.bytes(name, question, signal));

  ipcMain.on(IPC.stream, (event: IpcMainEvent, id: unknown, name: unknown, question: unknown) => {
    if (!isOurs(event) || typeof id !== 'number' || typeof name !== 'string') return;
    const { sender } = event;
    const key = `${sender.id}/${id}`;
    const gone = new AbortController();
    running.set(key, gone);
    const windowGone = (): void => gone.abort(new CancelledError());
    sender.once('destroyed', windowGone);
    const send = (channel: string, content: unknown): void => { if (!sender.isDestroyed()) sender.send(channel, id, content); };
    messages.stream(name, question, (each) => { if (!gone.signal.aborted) send(IPC.event, each); }, gone.signal)
      .then((): BridgeAnswer => ({ ok: true, value: null }), (error: unknown): BridgeAnswer => ({ ok: false, error: wireError(error) }))
      .then((answer) => {
        running.delete(key);
        sender.removeListener('destroyed', windowGone);
        send(IPC.done, answer);
      });
  });
  ipcMain.on(IPC.letGo, (event: IpcMainEvent, id: unknown) => {
    if (isOurs(event)) running.get(`${event.sender.id}/${String(id)}`)?.abort(new CancelledError());
  });
}

/** A frame that is gone has no address, and gets no answer. */
function isOurs(event: IpcMainEvent | IpcMainInvokeEvent): boolean {
  return event.senderFrame !== null && event.senderFrame.url.startsWith(`${WINDOW_ORIGIN}/`);
}
