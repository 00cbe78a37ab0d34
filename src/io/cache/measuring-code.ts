import { createHash } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import path from 'node:path';
import sharp from 'sharp';

/** The compiled code that the workers run, wherever this module runs from. */
const program = path.join(path.dirname(createRequire(import.meta.url).resolve('#frame-worker')), '..');

/**
 * A hash of the code a measurement depends on: filters, decoding, the decoder's version. A number raised by hand would be forgotten
 * one day, and old measurements then be taken for new ones.
 * @throws Error where the program's own files can't be read
 */
export async function measuringCode(): Promise<string> {
  const hash = createHash('sha256').update(`${sharp.versions.sharp} ${sharp.versions.vips} ${process.arch}`);
  for (const file of await measuringFiles()) hash.update(file).update(await readFile(path.join(program, file)));
  return hash.digest('hex');
}

/** Names relative to the compiled program, in a fixed order. */
export async function measuringFiles(): Promise<string[]> {
  const inFolder = async (folder: string): Promise<string[]> => (await readdir(path.join(program, folder))).map((name) => path.posix.join(folder, name));
  const all = (await Promise.all(['image', 'sharpness', 'simd'].map(inFolder))).flat();
  const reading = (await inFolder('io')).filter((name) => /^io\/(decode-|frame-)/.test(name));
  return [...all, ...reading].filter((name) => /\.(js|wasm)$/.test(name)).sort();
}
