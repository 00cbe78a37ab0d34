import type { IncomingMessage, ServerResponse } from 'node:http';
import { NOTE_HEADER } from '../../contract/channels.js';
import { CancelledError } from '../../contract/errors.js';
import type { UncheckedMessages } from '../checked-messages.js';
import { wireError } from '../wire-error.js';
import { openEventStream } from './event-stream.js';
import { readJsonBody } from './read-body.js';

/** POST /message/call|stream|bytes/NAME with a JSON body. False where the address is no message. */
export async function answerMessage(messages: UncheckedMessages, request: IncomingMessage, response: ServerResponse, pathname: string): Promise<boolean> {
  const match = /^\/message\/(call|stream|bytes)\/([a-z-]{1,40})$/.exec(pathname);
  if (!match || request.method !== 'POST') return false;
  const [, kind, name] = match;
  const gone = new AbortController();
  response.on('close', () => gone.abort(new CancelledError()));
  try {
    if (!/^application\/json\b/.test(request.headers['content-type'] ?? '')) throw new TypeError('not JSON');
    const ask = await readJsonBody(request);
    if (kind === 'stream') await answerStream(messages, name, ask, response, gone.signal);
    else if (kind === 'bytes') {
      const { mediaType, bytes, note } = await messages.bytes(name, ask, gone.signal);
      response.writeHead(200, { 'content-type': mediaType, 'cache-control': 'no-store', ...(note === null ? {} : { [NOTE_HEADER]: encodeURIComponent(wellFormed(note)) }) }).end(bytes);
    } else {
      const answer = await messages.call(name, ask);
      response.writeHead(200, { 'content-type': 'application/json; charset=utf-8', 'cache-control': 'no-store' }).end(JSON.stringify(answer));
    }
  } catch (error) {
    if (response.headersSent) response.end();
    else response.writeHead(error instanceof TypeError ? 415 : 422, { 'content-type': 'application/json; charset=utf-8' }).end(JSON.stringify(wireError(error)));
  }
  return true;
}

async function answerStream(messages: UncheckedMessages, name: string, ask: unknown, response: ServerResponse, signal: AbortSignal): Promise<void> {
  const stream = openEventStream(response);
  try {
    await messages.stream(name, ask, (event) => stream.send('event', event), signal);
    stream.send('end', null);
  } catch (error) {
    stream.send('fault', wireError(error));
  }
  stream.end();
}

/** Some systems allow half a letter in a file name, which no encoding takes. */
const wellFormed = (text: string): string => text.replace(/[\ud800-\udfff]/gu, '\ufffd');
