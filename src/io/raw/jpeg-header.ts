import { partOf, type ByteSource } from './byte-source.js';
import { readDirectory } from './tiff-directory.js';

export interface JpegHeader {
  rows: number;
  columns: number;
  /** Where the segment with camera data lies, from the JPEG's start; null: none. */
  exif: { at: number; length: number } | null;
  /** Orientation in that data; null: it says none. */
  orientation: number | null;
}

const MOST_SEGMENTS = 200;
const EXIF = 'Exif\0\0';

/**
 * Size and orientation of a JPEG picture, from its first segments (ITU-T T.81, annex B; EXIF 2.32, 4.5).
 * @returns null where it is no JPEG, or one that can't be shown: lossless, 12 bits, four colours
 */
export async function jpegHeader(bytes: ByteSource): Promise<JpegHeader | null> {
  if (!(await bytes.read(0, 3)).equals(Buffer.from([0xff, 0xd8, 0xff]))) return null;
  let exif: JpegHeader['exif'] = null, orientation: number | null = null;
  for (let at = 2, i = 0; i < MOST_SEGMENTS; i++) {
    const head = await bytes.read(at, 10);
    if (head.length < 10 || head[0] !== 0xff) return null;
    const marker = head[1];
    // Any number of fill bytes may stand before a marker.
    if (marker === 0xff) { at++; continue; }
    const length = head.readUInt16BE(2);
    if (length < 2) return null;
    // Baseline, extended and progressive by Huffman coding; C4, C8 and CC are no frame headers.
    if (marker >= 0xc0 && marker <= 0xc2) {
      const components = head[9];
      return head[4] === 8 && (components === 1 || components === 3) ? { rows: head.readUInt16BE(5), columns: head.readUInt16BE(7), exif, orientation } : null;
    }
    if ((marker >= 0xc3 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc) || marker === 0xd9 || marker === 0xda) return null;
    if (marker === 0xe1 && exif === null && (await bytes.read(at + 4, 6)).toString('latin1') === EXIF) {
      exif = { at, length: length + 2 };
      orientation = await orientationIn(partOf(bytes, at + 10, length - 8));
    }
    at += 2 + length;
  }
  return null;
}

async function orientationIn(tiff: ByteSource): Promise<number | null> {
  const head = await tiff.read(0, 8);
  if (head.length < 8) return null;
  const littleEndian = head.toString('latin1', 0, 2) === 'II';
  const directory = await readDirectory(tiff, littleEndian ? head.readUInt32LE(4) : head.readUInt32BE(4), littleEndian);
  const value = (await directory?.numbers(0x112) ?? [])[0];
  return value >= 1 && value <= 8 ? value : null;
}
