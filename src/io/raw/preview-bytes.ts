import { open } from 'node:fs/promises';
import type { RawPreview } from './find-preview.js';

/** A camera's largest JPEG has some 50 MB; a damaged length may say anything. */
const MOST_BYTES = 256e6;

/**
 * The preview as a JPEG file of its own, with the orientation of the shot in it, so that whoever decodes it turns it upright.
 * @throws Error where it is longer than any camera's, or the file has changed
 */
export async function previewBytes(file: string, { at, length, header, orientation }: RawPreview): Promise<Buffer> {
  if (length > MOST_BYTES) throw new Error('the preview is too large');
  const handle = await open(file, 'r');
  try {
    const { buffer, bytesRead } = await handle.read(Buffer.alloc(length), 0, length, at);
    if (bytesRead < length) throw new Error('truncated: the file ends before its preview does');
    if (header.orientation !== null || orientation === 1) return buffer;
    const rest = header.exif ? [buffer.subarray(2, header.exif.at), buffer.subarray(header.exif.at + header.exif.length)] : [buffer.subarray(2)];
    return Buffer.concat([buffer.subarray(0, 2), orientationSegment(orientation), ...rest]);
  } finally {
    await handle.close();
  }
}

/** An EXIF segment (EXIF 2.32, 4.5.4) that says the orientation and nothing else. */
function orientationSegment(orientation: number): Buffer {
  const segment = Buffer.from('ffe10022457869660000' + '4d4d002a00000008' + '0001' + '0112000300000001' + '00000000' + '00000000', 'hex');
  segment.writeUInt16BE(orientation, 28);
  return segment;
}
