import type { ByteSource } from './byte-source.js';

/** One image file directory: the values of its tags, ready to use. Source: TIFF 6.0, section 2; EXIF 2.32, section 4.6. */
export interface TiffDirectory {
  /** Numbers of a tag (ratios divided; 0/0 gives NaN), or none. */
  numbers(tag: number): Promise<number[]>;
  text(tag: number): Promise<string | undefined>;
  /** Where the tag's value lies in the source, and its length. */
  place(tag: number): { at: number; length: number } | null;
  /** Offset of the directory after this one; 0: none. */
  next: number;
}

const TYPE_BYTES: Readonly<Record<number, number>> = { 1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4 };
/** Directories of cameras hold up to some two hundred tags; a damaged count could name 65 535. */
const MOST_TAGS = 1_000;
const MOST_NUMBERS = 256;
const MOST_LETTERS = 1_024;

interface Field { type: number; count: number; at: number; length: number }

/**
 * @param base what offsets inside count from
 * @returns null where there is no directory
 */
export async function readDirectory(source: ByteSource, at: number, littleEndian: boolean, base = 0): Promise<TiffDirectory | null> {
  const u16 = (bytes: Buffer, from: number): number => (littleEndian ? bytes.readUInt16LE(from) : bytes.readUInt16BE(from));
  const u32 = (bytes: Buffer, from: number): number => (littleEndian ? bytes.readUInt32LE(from) : bytes.readUInt32BE(from));
  const head = await source.read(at, 2);
  if (head.length < 2) return null;
  const count = u16(head, 0);
  if (count === 0 || count > MOST_TAGS) return null;
  const table = await source.read(at + 2, 12 * count + 4);
  if (table.length < 12 * count) return null;
  const fields = new Map<number, Field>();
  for (let i = 0; i < count; i++) {
    const type = u16(table, 12 * i + 2), values = u32(table, 12 * i + 4), length = (TYPE_BYTES[type] ?? 0) * values;
    const inPlace = length <= 4;
    fields.set(u16(table, 12 * i), { type, count: values, length, at: inPlace ? at + 2 + 12 * i + 8 : base + u32(table, 12 * i + 8) });
  }
  const one = (bytes: Buffer, type: number, i: number): number => {
    switch (type) {
      case 1: case 7: return bytes[i];
      case 3: return u16(bytes, 2 * i);
      case 4: case 13: return u32(bytes, 4 * i);
      case 5: return u32(bytes, 8 * i) / u32(bytes, 8 * i + 4);
      case 9: return u32(bytes, 4 * i) | 0;
      case 10: return (u32(bytes, 8 * i) | 0) / (u32(bytes, 8 * i + 4) | 0);
      default: return NaN;
    }
  };
  return {
    async numbers(tag) {
      const field = fields.get(tag);
      if (!field || field.count > MOST_NUMBERS) return [];
      const bytes = await source.read(field.at, field.length);
      return bytes.length < field.length ? [] : Array.from({ length: field.count }, (_, i) => one(bytes, field.type, i));
    },
    async text(tag) {
      const field = fields.get(tag);
      if (!field || field.type !== 2 || field.length > MOST_LETTERS) return undefined;
      return (await source.read(field.at, field.length)).toString('latin1').replace(/\0.*$/s, '');
    },
    place: (tag) => { const field = fields.get(tag); return field ? { at: field.at, length: field.length } : null; },
    next: table.length >= 12 * count + 4 ? u32(table, 12 * count) : 0,
  };
}
