import { randomBytes } from 'node:crypto';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { UserError } from '../../contract/errors.js';
import type { Messages } from '../../contract/channels.js';
import { checkedMessages } from '../checked-messages.js';
import { answerMessage } from './answer-message.js';
import { cookieName, guardRequest, sameToken, type Gate } from './guard-request.js';
import { refusalPage } from './refusal-page.js';
import { loadStaticFiles, type StaticFile } from './static-files.js';
import { WINDOW_HEADERS } from './window-headers.js';

const FIRST_PORT = 8642;
const PORTS_TRIED = 20;
/** A browser opens six for a page, and one for each stream of events. */
const MOST_CONNECTIONS = 100;

export interface LoopbackOptions { backend: Messages; windowFolder: string; /** null: the first free one from 8642 on. */ port: number | null; token?: string; /** A question must have come whole within this time. */ requestTimeoutMs?: number }
export interface LoopbackServer { /** With its token: who has it may use the window. */ address: string; port: number; token: string; close(): Promise<void> }

/**
 * The window over HTTP, for this machine alone: bound to 127.0.0.1, every request asked for the token.
 * @throws UserError where the port asked for is taken
 */
export async function startLoopbackServer(options: LoopbackOptions): Promise<LoopbackServer> {
  const gate: Gate = { port: 0, token: options.token ?? randomBytes(24).toString('base64url') };
  const files = loadStaticFiles(options.windowFolder);
  const messages = checkedMessages(options.backend);
  const requestTimeout = options.requestTimeoutMs ?? 30_000;
  const server = createServer({ maxHeaderSize: 16 * 1024, requestTimeout, connectionsCheckingInterval: requestTimeout / 2 }, (request, response) => {
    // Whatever one request does, the window goes on.
    answer(request, response, gate, files, messages).catch(() => { if (response.headersSent) response.destroy(); else refuse(response, 400, 'This was not understood.'); });
  });
  server.maxConnections = MOST_CONNECTIONS;
  await listen(server, options.port);
  gate.port = (server.address() as AddressInfo).port;
  return {
    address: `http://127.0.0.1:${gate.port}/?token=${gate.token}`, port: gate.port, token: gate.token,
    close: () => new Promise((resolve) => { server.close(() => resolve()); server.closeAllConnections(); }),
  };
}

async function answer(request: IncomingMessage, response: ServerResponse, gate: Gate, files: Map<string, StaticFile>, messages: ReturnType<typeof checkedMessages>): Promise<void> {
  for (const [name, value] of Object.entries(WINDOW_HEADERS)) response.setHeader(name, value);
  const url = new URL(request.url ?? '/', `http://127.0.0.1:${gate.port}`);
  const shown = url.searchParams.get('token');
  if (request.method === 'GET' && url.pathname === '/' && shown !== null && sameToken(shown, gate.token)) {
    request.headers['x-rungwise-token'] = shown;
    const admission = guardRequest(request, gate);
    if (!admission.admitted) return refuse(response, admission.status, admission.reason);
    response.setHeader('set-cookie', `${cookieName(gate.port)}=${gate.token}; HttpOnly; SameSite=Strict; Path=/`);
    response.writeHead(303, { location: '/', 'cache-control': 'no-store' }).end();
    return;
  }
  const admission = guardRequest(request, gate);
  if (!admission.admitted) return refuse(response, admission.status, admission.reason);
  if (await answerMessage(messages, request, response, url.pathname)) return;
  const file = request.method === 'GET' || request.method === 'HEAD' ? files.get(url.pathname) : undefined;
  if (!file) return refuse(response, 404, files.size === 0 ? 'The window was not built. Run npm run build.' : 'There is nothing here.');
  response.writeHead(200, { 'content-type': file.mediaType, 'cache-control': file.immutable ? 'private, max-age=31536000, immutable' : 'no-store' });
  response.end(request.method === 'HEAD' ? undefined : file.bytes);
}

function refuse(response: ServerResponse, status: number, reason: string): void {
  response.writeHead(status, { 'content-type': 'text/html; charset=utf-8', 'cache-control': 'no-store' }).end(refusalPage(reason));
}

async function listen(server: Server, port: number | null): Promise<void> {
  const ports = port === null ? [...Array.from({ length: PORTS_TRIED }, (_, i) => FIRST_PORT + i), 0] : [port];
  for (const candidate of ports) {
    const taken = await new Promise<boolean>((resolve, reject) => {
      const failed = (error: NodeJS.ErrnoException): void => {
        if (error.code === 'EADDRINUSE' || error.code === 'EACCES') resolve(true);
        else reject(error);
      };
      server.once('error', failed);
      server.listen(candidate, '127.0.0.1', () => { server.removeListener('error', failed); resolve(false); });
    });
    if (!taken) return;
  }
  throw new UserError(`Port ${port} is taken or may not be used.`, 'Leave --port out to take the next free one, or name another.');
}
