import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import path from 'node:path';

const { resolve } = createRequire(import.meta.url);
/** The compiled worker that reads and measures, wherever this module runs from. */
const worker = resolve('#frame-worker');
/** What the picture library says of itself, its native part's version included; loading it would take longer than anything else here. */
const libraryFile = path.resolve(path.dirname(resolve('sharp')), '..', 'package.json');

/** How one compiled module names another, or a file it loads. */
const named = /(?:from|import|import\(|new URL\()\s*['"](\.{1,2}\/[^'"]+)['"]/g;

/**
 * A hash of the code a measurement depends on: all that the worker loads, and the decoder's package. A number raised by hand would
 * be forgotten one day, and old measurements then be taken for new ones.
 * @throws Error where the program's own files can't be read
 */
export async function measuringCode(): Promise<string> {
  const hash = createHash('sha256').update(await readFile(libraryFile)).update(process.arch);
  const files = await measuringFiles();
  for (const name of [...files.keys()].sort()) hash.update(name).update(files.get(name) ?? '');
  return hash.digest('hex');
}

/** What the worker loads, by place relative to the worker. */
export async function measuringFiles(): Promise<Map<string, Buffer>> {
  const found = new Map<string, Buffer>();
  const visit = async (file: string): Promise<void> => {
    const name = path.relative(path.dirname(worker), file).split(path.sep).join('/');
    if (found.has(name)) return;
    const bytes = await readFile(file);
    found.set(name, bytes);
    if (!file.endsWith('.js')) return;
    for (const [, to] of bytes.toString('utf8').matchAll(named)) await visit(path.resolve(path.dirname(file), to));
  };
  await visit(worker);
  return found;
}
