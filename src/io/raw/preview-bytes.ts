import { open } from 'node:fs/promises';
import type { RawPreview } from './find-preview.js';

/** A camera's largest JPEG has some 50 MB; a damaged length may say anything. */
const MOST_BYTES = 256e6;
/** Bytes of an EXIF segment before its TIFF part: marker, length, "Exif\0\0" (EXIF 2.32, 4.7.2). */
export const EXIF_HEAD_BYTES = 10;

/**
 * The preview as a JPEG file of its own, with the orientation of the shot in it, so that whoever decodes it turns it upright.
 * @throws Error where it is longer than any camera's, or the file has changed
 */
export async function previewBytes(file: string, { at, length, header, orientation }: RawPreview): Promise<Buffer> {
  const bytes = await readPart(file, at, length);
  if (header.orientation !== null || orientation === 1) return bytes;
  const rest = header.exif ? [bytes.subarray(2, header.exif.at), bytes.subarray(header.exif.at + header.exif.length)] : [bytes.subarray(2)];
  return Buffer.concat([bytes.subarray(0, 2), orientationSegment(orientation), ...rest]);
}

/**
 * The camera data inside the preview, as a TIFF of its own, without reading the picture.
 * @returns undefined where it has none
 * @throws Error as {@link previewBytes} does
 */
export async function previewCameraData(file: string, { at, length, header: { exif } }: RawPreview): Promise<Buffer | undefined> {
  if (length > MOST_BYTES) throw tooLarge();
  return exif === null || exif.length <= EXIF_HEAD_BYTES ? undefined : readPart(file, at + exif.at + EXIF_HEAD_BYTES, exif.length - EXIF_HEAD_BYTES);
}

const tooLarge = (): Error => new Error('corrupt header: the preview is longer than any camera’s');

async function readPart(file: string, at: number, length: number): Promise<Buffer> {
  if (length > MOST_BYTES) throw tooLarge();
  const handle = await open(file, 'r');
  try {
    const { buffer, bytesRead } = await handle.read(Buffer.alloc(length), 0, length, at);
    if (bytesRead < length) throw new Error('truncated: the file ends before its preview does');
    return buffer;
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
