import type { IpcRenderer, IpcRendererEvent, WebUtils } from 'electron';
import type { Bridge, BridgeAnswer } from '../src/contract/bridge.js';
import { IPC } from './ipc-names.js';

interface Listening { onEvent: (event: unknown) => void; onDone: (answer: BridgeAnswer) => void }

/** All the window gets of Electron: four functions, no channel names, no sender, no Node. */
export function makeBridge(ipc: Pick<IpcRenderer, 'invoke' | 'send' | 'on'>, webUtils: Pick<WebUtils, 'getPathForFile'>): Bridge {
  const listening = new Map<number, Listening>();
  let lastId = 0;
  ipc.on(IPC.event, (_event: IpcRendererEvent, id: number, content: unknown) => listening.get(id)?.onEvent(content));
  ipc.on(IPC.done, (_event: IpcRendererEvent, id: number, answer: BridgeAnswer) => {
    const listener = listening.get(id);
    listening.delete(id);
    listener?.onDone(answer);
  });
  return {
    call: (name, ask) => ipc.invoke(IPC.call, name, ask) as Promise<BridgeAnswer>,
    bytes: (name, ask) => {
      const id = ++lastId;
      return { answer: ipc.invoke(IPC.bytes, name, ask, id) as Promise<BridgeAnswer>, letGo: () => ipc.send(IPC.letGo, id) };
    },
    stream: (name, ask, onEvent, onDone) => {
      const id = ++lastId;
      listening.set(id, { onEvent, onDone });
      ipc.send(IPC.stream, id, name, ask);
      return () => ipc.send(IPC.letGo, id);
    },
    pathOf: (dropped) => {
      try {
        return webUtils.getPathForFile(dropped as Parameters<WebUtils['getPathForFile']>[0]) || null;
      } catch {
        return null;
      }
    },
  };
}
