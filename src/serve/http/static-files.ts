import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';

const TYPES: Record<string, string> = {
  '.html': 'text/html; charset=utf-8', '.js': 'text/javascript; charset=utf-8', '.css': 'text/css; charset=utf-8',
  '.woff2': 'font/woff2', '.svg': 'image/svg+xml', '.png': 'image/png', '.json': 'application/json',
};

export interface StaticFile { mediaType: string; bytes: Buffer; immutable: boolean }

/**
 * The window's own files, read once when the server starts. A request is looked up in this list and never joined to a path,
 * so nothing outside it can be asked for. Empty where the window was not built.
 */
export function loadStaticFiles(folder: string): Map<string, StaticFile> {
  const files = new Map<string, StaticFile>();
  let names: string[];
  try {
    names = readdirSync(folder, { recursive: true, encoding: 'utf8' });
  } catch {
    return files;
  }
  for (const name of names) {
    const mediaType = TYPES[path.extname(name)];
    if (!mediaType) continue;
    const url = `/${name.split(path.sep).join('/')}`;
    files.set(url, { mediaType, bytes: readFileSync(path.join(folder, name)), immutable: url.startsWith('/assets/') });
  }
  const index = files.get('/index.html');
  if (index) files.set('/', index);
  return files;
}
