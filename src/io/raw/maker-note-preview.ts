import type { ByteSource } from './byte-source.js';
import { readDirectory } from './tiff-directory.js';

/** How the notes of ORF files begin, and where their first directory and their byte order stand (from memory). No public standard. */
const kinds = [{ begins: 'OLYMPUS\0', orderAt: 8, directoryAt: 12 }, { begins: 'OM SYSTEM\0', orderAt: 12, directoryAt: 16 }] as const;
const CAMERA_SETTINGS = 0x2020, PREVIEW_AT = 0x101, PREVIEW_BYTES = 0x102;

/**
 * The large picture that ORF files keep in the maker's own note, whose offsets count from the note's start.
 * @returns its place in the source; null where the note is another's
 */
export async function makerNotePreview(source: ByteSource, at: number, length: number): Promise<{ at: number; length: number } | null> {
  const head = await source.read(at, Math.min(20, length));
  const kind = kinds.find(({ begins }) => head.toString('latin1').startsWith(begins));
  if (!kind) return null;
  const littleEndian = head.toString('latin1', kind.orderAt, kind.orderAt + 2) === 'II';
  const note = await readDirectory(source, at + kind.directoryAt, littleEndian, at);
  const settings = note?.place(CAMERA_SETTINGS), named = (await note?.numbers(CAMERA_SETTINGS) ?? [])[0];
  if (!note || !settings || named === undefined) return null;
  // A directory's offset, or (type "undefined") the directory itself.
  const settingsAt = settings.length <= 4 ? at + named : settings.at;
  const directory = await readDirectory(source, settingsAt, littleEndian, at);
  const from = (await directory?.numbers(PREVIEW_AT) ?? [])[0], bytes = (await directory?.numbers(PREVIEW_BYTES) ?? [])[0];
  return from === undefined || bytes === undefined ? null : { at: at + from, length: bytes };
}
