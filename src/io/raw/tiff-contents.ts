import { partOf, type ByteSource } from './byte-source.js';
import { makerNotePreview } from './maker-note-preview.js';
import { nothingFound, type RawContents } from './raw-contents.js';
import { readDirectory, type TiffDirectory } from './tiff-directory.js';

/**
 * Tags by number: TIFF 6.0, EXIF 2.32, TIFF/EP; where each maker puts its JPEG is from memory (EXIF: 0x201 and 0x202 in
 * NEF's sub-directories, ARW's first and PEF's third directory, 0x111 in CR2's first; PanasonicRaw: 2, 0x2e and 0x127, a whole JPEG in one tag, in RW2 only).
 */
const tag = {
  sensorWidth: 0x02, jpegInTag: 0x2e, largerJpegInTag: 0x127, width: 0x100, compression: 0x103, make: 0x10f, model: 0x110, stripOffsets: 0x111, orientation: 0x112, stripBytes: 0x117,
  subDirectories: 0x14a, jpegAt: 0x201, jpegBytes: 0x202, exif: 0x8769, makerNote: 0x927c,
} as const;
const exifNumbers = { FNumber: 0x829d, FocalLength: 0x920a, ExifImageWidth: 0xa002, FocalPlaneXResolution: 0xa20e, FocalPlaneYResolution: 0xa20f, FocalPlaneResolutionUnit: 0xa210 } as const;
const exifTexts = { DateTimeOriginal: 0x9003, SubSecTimeOriginal: 0x9291 } as const;

/** 42 is TIFF's own; the others are what ORF and RW2 write in its place. */
const magics = new Set([42, 0x4f52, 0x5352, 0x55]);
const RW2_MAGIC = 0x55;
/** JPEG in its old and its new way of standing in a TIFF. */
const jpegCompressions = new Set([6, 7]);
/** Sensors are up to so much wider than the pictures made of them. */
const SENSOR_MARGIN = 1.05;
/** Files hold up to about ten; links that lead in circles would hold for ever. */
const MOST_DIRECTORIES = 40;

/**
 * Pictures and facts in a container built like TIFF: NEF, CR2, ARW, ORF, RW2, PEF, DNG and others.
 * @param from where the container starts in the file
 * @returns null where it is none
 */
export async function tiffContents(file: ByteSource, from = 0, length = file.size - from): Promise<RawContents | null> {
  const source = partOf(file, from, length);
  const head = await source.read(0, 8);
  const order = head.toString('latin1', 0, 2);
  if (head.length < 8 || (order !== 'II' && order !== 'MM')) return null;
  const littleEndian = order === 'II';
  const magic = littleEndian ? head.readUInt16LE(2) : head.readUInt16BE(2);
  if (!magics.has(magic)) return null;
  const found = nothingFound(), seen = new Set<number>(), queue = [littleEndian ? head.readUInt32LE(4) : head.readUInt32BE(4)];
  let widest = 0, first = true;
  for (let at = queue.shift(); at !== undefined && seen.size < MOST_DIRECTORIES; at = queue.shift()) {
    if (at === 0 || seen.has(at)) continue;
    seen.add(at);
    const directory = await readDirectory(source, at, littleEndian);
    if (directory === null) continue;
    const number = async (of: number): Promise<number> => (await directory.numbers(of))[0] ?? NaN;
    const place = async (where: Promise<number>, bytes: Promise<number>): Promise<void> => { found.candidates.push({ at: from + await where, length: await bytes }); };
    await place(number(tag.jpegAt), number(tag.jpegBytes));
    if (jpegCompressions.has(await number(tag.compression)) && (await directory.numbers(tag.stripOffsets)).length === 1) await place(number(tag.stripOffsets), number(tag.stripBytes));
    if (magic === RW2_MAGIC) for (const one of [tag.jpegInTag, tag.largerJpegInTag]) {
      const inTag = directory.place(one);
      if (inTag) found.candidates.push({ at: from + inTag.at, length: inTag.length });
    }
    widest = Math.max(widest, (await number(tag.width)) || 0, (magic === RW2_MAGIC && await number(tag.sensorWidth)) || 0);
    // Only the first directory speaks of the shot; those of previews may call theirs upright.
    if (first) {
      found.orientation = (await number(tag.orientation)) || 1;
      Object.assign(found.tags, { Make: await directory.text(tag.make), Model: await directory.text(tag.model) });
    }
    first = false;
    const exifAt = await number(tag.exif);
    const exif = exifAt > 0 ? await readDirectory(source, exifAt, littleEndian) : null;
    if (exif) {
      await readExif(exif, found);
      const note = exif.place(tag.makerNote);
      const hidden = note ? await makerNotePreview(source, note.at, note.length) : null;
      if (hidden) found.candidates.push({ at: from + hidden.at, length: hidden.length });
    }
    queue.push(...await directory.numbers(tag.subDirectories), directory.next);
  }
  // A camera set to save small pictures beside the raw file may write their width.
  const written = Number(found.tags.ExifImageWidth) || 0;
  found.columns = written * SENSOR_MARGIN >= widest ? written : widest;
  return found;
}

/** Adds what an EXIF directory says of the shot; what is there already stays. */
export async function readExif(exif: TiffDirectory, found: RawContents): Promise<void> {
  for (const [name, number] of Object.entries(exifNumbers)) found.tags[name as keyof typeof exifNumbers] ??= (await exif.numbers(number))[0];
  for (const [name, number] of Object.entries(exifTexts)) found.tags[name as keyof typeof exifTexts] ??= await exif.text(number);
}
