import { jpegLayout } from '../image/jpeg-layout.js';
import { MOST_PIXELS } from './most-pixels.js';
import type { ByteSource } from './raw/byte-source.js';
import { jpegHeader, type JpegHeader } from './raw/jpeg-header.js';

/**
 * Size, orientation and camera data of an ordinary JPEG file by its first bytes, without the picture library.
 * @returns null where it is none, or anything about it is unusual: that library then is to say what it holds, or what is wrong
 */
export async function plainJpegHeader(head: Buffer): Promise<JpegHeader | null> {
  if (jpegLayout(head) === null) return null;
  const header = await jpegHeader(inMemory(head));
  return header && header.rows * header.columns <= MOST_PIXELS ? header : null;
}

/** Bytes that are there already. */
export function inMemory(bytes: Uint8Array): ByteSource {
  return { size: bytes.length, read: (at, length) => Promise.resolve(Buffer.from(bytes.buffer, bytes.byteOffset + Math.min(at, bytes.length), Math.max(0, Math.min(length, bytes.length - at)))) };
}
