import type { StaticFile } from '../src/serve/http/static-files.js';
import { WINDOW_HEADERS } from '../src/serve/http/window-headers.js';

/** The window's own files under its own scheme, looked up in a list: nothing outside it can be asked for. */
export function windowAnswer(files: ReadonlyMap<string, StaticFile>, address: string): Response {
  const { host, pathname } = new URL(address);
  const file = host === 'window' ? files.get(pathname) : undefined;
  if (!file) return new Response('There is nothing here.', { status: 404, headers: WINDOW_HEADERS });
  return new Response(new Uint8Array(file.bytes), { headers: { ...WINDOW_HEADERS, 'content-type': file.mediaType } });
}
