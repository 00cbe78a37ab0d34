import { createHash, timingSafeEqual } from 'node:crypto';
import type { IncomingMessage } from 'node:http';

export interface Gate { port: number; token: string }
export type Admission = { admitted: true } | { admitted: false; status: 400 | 403; reason: string };

/** Cookies are shared by all ports of an address, so the port is in the name: two windows don't lock each other out. */
export const cookieName = (port: number): string => `rungwise-${port}`;

/**
 * Lets through only what our own window sends: the Host we listen on (against names made to point here), an Origin that is us or none,
 * and the token, in a header or in the cookie set when the address with the token was opened.
 */
export function guardRequest(request: IncomingMessage, gate: Gate): Admission {
  const host = request.headers.host ?? '';
  const hosts = [`127.0.0.1:${gate.port}`, `localhost:${gate.port}`];
  if (!hosts.includes(host)) return { admitted: false, status: 400, reason: 'This address is not the window’s own.' };
  const { origin } = request.headers;
  if (origin !== undefined && origin !== `http://${host}`) return { admitted: false, status: 403, reason: 'Asked by another page.' };
  const site = request.headers['sec-fetch-site'];
  if (request.method === 'POST' && site !== undefined && site !== 'same-origin') return { admitted: false, status: 403, reason: 'Asked by another page.' };
  const shown = [request.headers['x-rungwise-token'], cookie(request.headers.cookie ?? '', cookieName(gate.port))];
  if (!shown.some((token) => typeof token === 'string' && sameToken(token, gate.token))) {
    return { admitted: false, status: 403, reason: 'The key in this address is missing, or is of an earlier start. Open the whole address that was printed when the window was started.' };
  }
  return { admitted: true };
}

/** Compared by digest and in constant time: neither length nor first differing letter can be measured. */
export function sameToken(shown: string, token: string): boolean {
  const digest = (text: string): Buffer => createHash('sha256').update(text).digest();
  return timingSafeEqual(digest(shown), digest(token));
}

function cookie(header: string, name: string): string | undefined {
  for (const part of header.split(';')) {
    const [key, ...value] = part.trim().split('=');
    if (key === name) return value.join('=');
  }
  return undefined;
}
