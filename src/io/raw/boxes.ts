import type { ByteSource } from './byte-source.js';

/** A box of the base media file format (ISO/IEC 14496-12, 4.2): its type and where its content lies. */
export interface Box { type: string; at: number; length: number }

const MOST_BOXES = 200;

/** The boxes between two places, in order; damaged sizes end the list. */
export async function boxesIn(file: ByteSource, from: number, to: number): Promise<Box[]> {
  const boxes: Box[] = [];
  for (let at = from; at + 8 <= to && boxes.length < MOST_BOXES;) {
    const head = await file.read(at, 32);
    if (head.length < 8) break;
    const short = head.readUInt32BE(0), type = head.toString('latin1', 4, 8);
    // Size 1: a 64-bit size follows. Size 0: the box goes to the end. Type uuid: 16 bytes of name follow.
    const wide = short === 1, size = wide ? (head.length < 16 ? 0 : Number(head.readBigUInt64BE(8))) : short === 0 ? to - at : short;
    const headBytes = (wide ? 16 : 8) + (type === 'uuid' ? 16 : 0);
    if (size < headBytes || at + size > to) break;
    boxes.push({ type: type === 'uuid' ? `uuid:${head.subarray(headBytes - 16, headBytes).toString('hex')}` : type, at: at + headBytes, length: size - headBytes });
    at += size;
  }
  return boxes;
}
