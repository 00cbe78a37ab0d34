import { deserialize, serialize } from 'node:v8';
import { crc32 } from 'node:zlib';
import type { FrameMeasure } from '../../sharpness/measure-plan.js';

const MAGIC = Buffer.from('RWM1', 'latin1');
const HEAD_BYTES = 8;

/** One entry: magic, CRC-32 of what follows, then the key and the measurement as V8 writes them. Numbers are kept bit for bit. */
export function packMeasure(key: string, measure: FrameMeasure): Buffer {
  const body = serialize({ key, measure });
  const head = Buffer.alloc(HEAD_BYTES);
  MAGIC.copy(head);
  head.writeUInt32LE(crc32(body), MAGIC.length);
  return Buffer.concat([head, body]);
}

/** @returns null where the bytes are damaged, cut short, of another program, or another key's */
export function unpackMeasure(key: string, bytes: Buffer): FrameMeasure | null {
  if (bytes.length <= HEAD_BYTES || !bytes.subarray(0, MAGIC.length).equals(MAGIC)) return null;
  const body = bytes.subarray(HEAD_BYTES);
  if (crc32(body) !== bytes.readUInt32LE(MAGIC.length)) return null;
  try {
    const entry = deserialize(body) as { key: string; measure: FrameMeasure };
    return entry.key === key ? entry.measure : null;
  } catch {
    // Written by a later V8.
    return null;
  }
}
