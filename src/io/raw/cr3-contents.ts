import type { ByteSource } from './byte-source.js';
import { boxesIn, type Box } from './boxes.js';
import { nothingFound, type RawContents } from './raw-contents.js';
import { readExif, tiffContents } from './tiff-contents.js';
import { readDirectory } from './tiff-directory.js';

/** The camera's own boxes (L. Clévy's description of CR3; no public standard): facts as TIFF, and a picture of moderate size. */
const FACTS = 'uuid:85c0b687820f11e08111f4ce462b6a48', PREVIEW = 'uuid:eaf42b5e1c984b88b9fbb7dc406e4d16';
const MOST_TRACKS = 8;

/**
 * Pictures and facts in a CR3 file. Its first track's only sample is the whole picture as JPEG.
 * @returns null where the file is none
 */
export async function cr3Contents(file: ByteSource): Promise<RawContents | null> {
  const top = await boxesIn(file, 0, file.size);
  if (top[0]?.type !== 'ftyp' || (await file.read(top[0].at, 4)).toString('latin1') !== 'crx ') return null;
  const found = nothingFound();
  const inside = (box: Box | undefined, skip = 0): Promise<Box[]> => (box ? boxesIn(file, box.at + skip, box.at + box.length) : Promise.resolve([]));
  const movie = await inside(top.find((box) => box.type === 'moov'));
  for (const box of await inside(movie.find(({ type }) => type === FACTS))) {
    if (box.type === 'CMT1') {
      const facts = await tiffContents(file, box.at, box.length);
      if (facts) Object.assign(found, { tags: { ...facts.tags, ...found.tags }, orientation: facts.orientation, columns: facts.columns });
    }
    if (box.type === 'CMT2') await readFactsBox(file, box, found);
  }
  for (const track of movie.filter(({ type }) => type === 'trak').slice(0, MOST_TRACKS)) {
    const sample = await firstSample(file, track);
    if (sample) found.candidates.push(sample);
  }
  // Eight bytes of the camera's own stand before the PRVW box, and sixteen in it before the JPEG.
  for (const box of await inside(top.find(({ type }) => type === PREVIEW), 8)) if (box.type === 'PRVW') found.candidates.push({ at: box.at + 16, length: box.length - 16 });
  found.columns = Number(found.tags.ExifImageWidth) || found.columns;
  return found;
}

/** An EXIF directory as the first of a TIFF of its own. */
async function readFactsBox(file: ByteSource, box: Box, found: RawContents): Promise<void> {
  const head = await file.read(box.at, 8);
  if (head.length < 8) return;
  const littleEndian = head.toString('latin1', 0, 2) === 'II';
  const exif = await readDirectory(file, box.at + (littleEndian ? head.readUInt32LE(4) : head.readUInt32BE(4)), littleEndian, box.at);
  if (exif) await readExif(exif, found);
}

/** Place of a track's first sample: mdia/minf/stbl hold its size (stsz) and its chunk's offset (co64 or stco); ISO/IEC 14496-12, 8.7. */
async function firstSample(file: ByteSource, track: Box): Promise<{ at: number; length: number } | null> {
  let boxes = await boxesIn(file, track.at, track.at + track.length);
  for (const type of ['mdia', 'minf', 'stbl']) {
    const box = boxes.find((one) => one.type === type);
    if (!box) return null;
    boxes = await boxesIn(file, box.at, box.at + box.length);
  }
  const content = async (type: string): Promise<Buffer> => { const box = boxes.find((one) => one.type === type); return box ? file.read(box.at, Math.min(box.length, 20)) : Buffer.alloc(0); };
  const sizes = await content('stsz'), wide = await content('co64'), narrow = await content('stco');
  const at = wide.length >= 16 ? Number(wide.readBigUInt64BE(8)) : narrow.length >= 12 ? narrow.readUInt32BE(8) : null;
  if (at === null || sizes.length < 12) return null;
  // One size for all samples, or (0) a table of sizes.
  const length = sizes.readUInt32BE(4) || (sizes.length >= 16 ? sizes.readUInt32BE(12) : 0);
  return { at, length };
}
