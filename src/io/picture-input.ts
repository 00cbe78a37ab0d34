import { open, stat } from 'node:fs/promises';
import { isRawName } from './frame-formats.js';
import { findPreview } from './raw/find-preview.js';
import { previewBytes } from './raw/preview-bytes.js';

/**
 * What a decoder is to read for a frame: the file itself or, for a raw file, the largest JPEG the camera put into it.
 * @throws Error where there is no ordinary file, or a raw file holds no JPEG or is cut short
 */
export async function pictureInput(file: string): Promise<string | Buffer> {
  // Whatever stood there when the folder was listed: a decoder would wait at a pipe for ever.
  if (!(await stat(file)).isFile()) throw new Error('not an ordinary file');
  if (!isRawName(file)) return file;
  const preview = await findPreview(file);
  if (preview !== null) return previewBytes(file, preview);
  // A decoder would take the thumbnail at the head of a raw file for the picture: only what is a JPEG itself goes to it whole.
  if (await startsAsJpeg(file)) return file;
  throw new Error('no preview in the raw file');
}

async function startsAsJpeg(file: string): Promise<boolean> {
  const handle = await open(file, 'r');
  try {
    const { buffer, bytesRead } = await handle.read(Buffer.alloc(3), 0, 3, 0);
    return bytesRead === 3 && buffer.equals(Buffer.from([0xff, 0xd8, 0xff]));
  } finally {
    await handle.close();
  }
}
