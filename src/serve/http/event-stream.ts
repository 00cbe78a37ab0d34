import type { ServerResponse } from 'node:http';

const HEARTBEAT_MS = 15_000;

export interface EventStream { send(name: 'event' | 'fault' | 'end', data: unknown): void; end(): void }

/** Opens a server-sent event stream on a response; a comment every so often keeps proxies and laptops from closing it. */
export function openEventStream(response: ServerResponse): EventStream {
  response.writeHead(200, { 'content-type': 'text/event-stream; charset=utf-8', 'cache-control': 'no-store', 'x-accel-buffering': 'no' });
  response.write(': open\n\n');
  const heartbeat = setInterval(() => response.write(': still here\n\n'), HEARTBEAT_MS);
  heartbeat.unref();
  response.on('close', () => clearInterval(heartbeat));
  return {
    send: (name, data) => { if (!response.writableEnded) response.write(`event: ${name}\ndata: ${JSON.stringify(data)}\n\n`); },
    end: () => { clearInterval(heartbeat); response.end(); },
  };
}
