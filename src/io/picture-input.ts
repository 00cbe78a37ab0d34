import { open, stat } from 'node:fs/promises';
import { isRawName } from './frame-formats.js';
import { findPreview } from './raw/find-preview.js';
import { previewBytes } from './raw/preview-bytes.js';
import { readThrough } from './read-through.js';

/**
 * What a decoder is to read for a frame: the file itself or, for a raw file, the largest JPEG the camera put into it.
 * @throws Error where there is no ordinary file, its drive fails, or a raw file holds no JPEG or is cut short
 */
export async function pictureInput(file: string): Promise<string | Buffer> {
  await requireFile(file);
  const preview = isRawName(file) ? await findPreview(file) : null;
  if (preview !== null) return previewBytes(file, preview);
  await requirePicture(file);
  await readThrough(file);
  return file;
}

/** Metadata stands in front of the picture: in all but a few JPEG files within so many bytes. */
const HEAD_BYTES = 128 * 1024;

/**
 * What a decoder is to read of a picture's header: of a JPEG its first bytes, of others the file. Raw files have a way of their own.
 * @throws Error as {@link pictureInput} does
 */
export async function headerInput(file: string): Promise<string | Buffer> {
  await requireFile(file);
  await requirePicture(file);
  const head = await firstBytes(file, HEAD_BYTES);
  return isJpeg(head) ? head : file;
}

async function requireFile(file: string): Promise<void> {
  // Whatever stood there when the folder was listed: a decoder would wait at a pipe for ever.
  if (!(await stat(file)).isFile()) throw new Error('not an ordinary file');
}

/** A decoder would take the thumbnail at the head of a raw file for the picture: of those only what is a JPEG itself goes to it whole. */
async function requirePicture(file: string): Promise<void> {
  if (isRawName(file) && !isJpeg(await firstBytes(file, 3))) throw new Error('no preview in the raw file');
}

const isJpeg = (head: Buffer): boolean => head.subarray(0, 3).equals(Buffer.from([0xff, 0xd8, 0xff]));

async function firstBytes(file: string, count: number): Promise<Buffer> {
  const handle = await open(file, 'r');
  try {
    const { buffer, bytesRead } = await handle.read(Buffer.alloc(count), 0, count, 0);
    return buffer.subarray(0, bytesRead);
  } finally {
    await handle.close();
  }
}
