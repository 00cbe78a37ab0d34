import { NOTE_HEADER, type Messages, type WireError } from '../../src/contract/channels.js';
import { CancelledError, UserError } from '../../src/contract/errors.js';
import { eventStreamReader } from './event-stream-reader.js';

/** Messages to the loopback server the window came from. The token travels in its cookie. */
export function messagesOverHttp(base = ''): Messages {
  const post = async (kind: string, name: string, ask: unknown, signal?: AbortSignal): Promise<Response> => {
    let response: Response;
    try {
      response = await fetch(`${base}/message/${kind}/${name}`, {
        method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(ask), credentials: 'same-origin', signal,
      });
    } catch (error) {
      if (signal?.aborted) throw new CancelledError();
      throw error instanceof TypeError ? programStopped() : error;
    }
    if (response.ok) return response;
    if (response.status === 403 || response.status === 400) throw new UserError('This window is no longer let in.', 'Open the whole address that was printed when the program was started.');
    throw asError(await response.json() as WireError);
  };
  return {
    call: async (name, ask) => await (await post('call', name, ask)).json() as never,
    bytes: async (name, ask, signal) => {
      const response = await post('bytes', name, ask, signal);
      const note = response.headers.get(NOTE_HEADER);
      return { mediaType: response.headers.get('content-type') ?? 'image/jpeg', bytes: new Uint8Array(await response.arrayBuffer()), note: note === null ? null : decodeURIComponent(note) };
    },
    stream: async (name, ask, onEvent, signal) => {
      const response = await post('stream', name, ask, signal);
      let ended = false;
      const read = eventStreamReader((kind, data) => {
        if (kind === 'fault') throw asError(JSON.parse(data) as WireError);
        if (kind === 'end') ended = true;
        if (kind === 'event') onEvent(JSON.parse(data));
      });
      try {
        const reader = response.body!.getReader();
        for (let part = await reader.read(); !part.done; part = await reader.read()) read(part.value);
      } catch (error) {
        if (signal.aborted) throw new CancelledError();
        // A connection that breaks off half-way is told as a TypeError too.
        throw error instanceof TypeError ? programStopped() : error;
      }
      if (!ended) throw signal.aborted ? new CancelledError() : programStopped();
    },
  };
}

/** Each start has a key of its own, so that reloading this page would not do. */
const programStopped = (): UserError => new UserError('The program behind this window has stopped.', 'Start it again and open the address it prints.');

function asError(error: WireError): Error {
  return error.cancelled ? new CancelledError() : new UserError(error.message, error.remedy);
}
