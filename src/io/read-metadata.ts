import type { Metadata } from 'sharp';
import { loadSharp } from './load-sharp.js';
import { headerInput } from './picture-input.js';

/**
 * What a decoder says of a picture before decoding it. Of a JPEG only its first bytes are read, once: given the file's name, the decoder would open
 * it some fifteen times to find out what it is, which takes seconds on a drive at the other end of a line.
 * @throws Error as headerInput does, or with the decoder's message
 */
export async function readMetadata(file: string): Promise<Metadata> {
  const [sharp, input] = await Promise.all([loadSharp(), headerInput(file)]), read = (from: string | Buffer): Promise<Metadata> => sharp(from, { limitInputPixels: true }).metadata();
  // What stands before a picture may be longer than the head of the file.
  return typeof input === 'string' ? read(input) : read(input).catch(() => read(file));
}
