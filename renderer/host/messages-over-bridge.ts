import type { Bridge, BridgeAnswer } from '../../src/contract/bridge.js';
import type { BytesMap, Messages } from '../../src/contract/channels.js';
import { CancelledError, UserError } from '../../src/contract/errors.js';

/** Messages through what Electron's preload laid into the window. */
export function messagesOverBridge(bridge: Bridge): Messages {
  return {
    call: async (name, ask) => valueOf(await bridge.call(name, ask)) as never,
    bytes: async (name, ask, signal) => {
      if (signal?.aborted) throw new CancelledError();
      const { answer, letGo } = bridge.bytes(name, ask);
      signal?.addEventListener('abort', letGo, { once: true });
      const came = await answer.finally(() => signal?.removeEventListener('abort', letGo));
      if (signal?.aborted) throw new CancelledError();
      return valueOf(came) as BytesMap[typeof name]['answer'];
    },
    stream: (name, ask, onEvent, signal) => new Promise((resolve, reject) => {
      if (signal.aborted) { reject(new CancelledError()); return; }
      const letGo = bridge.stream(name, ask, (event) => { if (!signal.aborted) onEvent(event as never); }, (answer) => {
        if (signal.aborted) reject(new CancelledError());
        else if (answer.ok) resolve();
        else reject(errorOf(answer));
      });
      signal.addEventListener('abort', () => { letGo(); reject(new CancelledError()); }, { once: true });
    }),
  };
}

function valueOf(answer: BridgeAnswer): unknown {
  if (!answer.ok) throw errorOf(answer);
  return answer.value;
}

function errorOf(answer: BridgeAnswer & { ok: false }): Error {
  return answer.error.cancelled ? new CancelledError() : new UserError(answer.error.message, answer.error.remedy);
}
