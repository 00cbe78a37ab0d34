import type { ByteSource } from './byte-source.js';
import { nothingFound, type RawContents } from './raw-contents.js';

const BEGINS = 'FUJIFILMCCD-RAW ';
/** At a fixed place: offset and length of the whole picture, then of the list of the sensor's facts, big endian (the libopenraw project's description of RAF; no public standard). */
const JPEG_AT = 84, FACTS_AT = 92, HEAD_BYTES = 100;
/** In that list, by the same description: rows and columns of the whole sensor, and of the part that makes the picture. */
const SENSOR_SIZE = 0x100, PICTURE_SIZE = 0x111;
const MOST_FACTS = 256;

/** @returns null where the file is no RAF. What the camera wrote of the shot stands in the JPEG itself. */
export async function rafContents(file: ByteSource): Promise<RawContents | null> {
  const head = await file.read(0, HEAD_BYTES);
  if (head.length < HEAD_BYTES || !head.toString('latin1').startsWith(BEGINS)) return null;
  const candidates = [{ at: head.readUInt32BE(JPEG_AT), length: head.readUInt32BE(JPEG_AT + 4) }];
  return { ...nothingFound(), candidates, columns: await pictureColumns(file, head.readUInt32BE(FACTS_AT)) };
}

async function pictureColumns(file: ByteSource, listAt: number): Promise<number> {
  const head = await file.read(listAt, 4), count = head.length < 4 ? 0 : Math.min(MOST_FACTS, head.readUInt32BE(0));
  let columns = 0;
  for (let i = 0, at = listAt + 4; i < count; i++) {
    const fact = await file.read(at, 8);
    if (fact.length < 8) break;
    const kind = fact.readUInt16BE(0);
    if (kind === PICTURE_SIZE) return fact.readUInt16BE(6);
    if (kind === SENSOR_SIZE) columns = fact.readUInt16BE(6);
    at += 4 + fact.readUInt16BE(2);
  }
  return columns;
}
