import { access, constants, stat } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { Metadata } from 'sharp';
import type { SourceFrame } from '../pipeline/frame-source.js';
import { describeReadError, HEVC_PROBLEM } from './describe-read-error.js';
import { exifTags, frameFacts, noFacts, type ExifTags } from './frame-facts.js';
import { isFrameContent, isRawName } from './frame-formats.js';
import { isHevc } from './is-hevc.js';
import { loadSharp } from './load-sharp.js';
import { headerInput } from './picture-input.js';
import { plainJpegHeader } from './plain-jpeg-header.js';
import { readMetadata } from './read-metadata.js';
import { findPreview, type RawPreview } from './raw/find-preview.js';
import { EXIF_HEAD_BYTES, previewCameraData } from './raw/preview-bytes.js';
import { previewFacts, previewProblem } from './raw/preview-facts.js';

export type FrameHeader = Pick<SourceFrame, 'rows' | 'columns' | 'facts' | 'problem' | 'fromRaw'>;

/** Size and camera facts of one file, without decoding it. Never throws: what is wrong with the file is its `problem`. */
export async function readHeader(file: string): Promise<FrameHeader> {
  try {
    const found = await stat(file);
    // A pipe or a device would make the reader wait for ever.
    if (!found.isFile()) return unreadable('it is not an ordinary file');
    if (found.size === 0) return unreadable('it is empty (0 bytes)');
    // The decoder calls a locked file one of unknown kind.
    await access(file, constants.R_OK);
    const preview = isRawName(file) ? await findPreview(file) : null;
    return preview ? await rawHeader(file, preview) : await pictureHeader(file);
  } catch (error) {
    return unreadable(await isHevc(file) ? HEVC_PROBLEM : describeReadError(error));
  }
}

async function pictureHeader(file: string): Promise<FrameHeader> {
  const head = await headerInput(file), plain = typeof head === 'string' ? null : await plainJpegHeader(head);
  if (plain && typeof head !== 'string') return shown(plain.rows, plain.columns, plain.orientation ?? 1, frameFacts(await parseTags(plain.exif ? head.subarray(plain.exif.at + EXIF_HEAD_BYTES, plain.exif.at + plain.exif.length) : undefined), plain.columns));
  const header = await readMetadata(file);
  if (!isFrameContent(header.format)) return unreadable(`it holds ${header.format ?? 'something else'}, not JPEG, TIFF, PNG, WebP or AVIF`);
  if (header.format === 'heif' && header.compression !== 'av1' && !(await readsHevc())) return unreadable(HEVC_PROBLEM);
  // Samples of other kinds carry no agreed scale from black to white.
  if (header.depth !== 'uchar' && header.depth !== 'ushort') return unreadable('its samples have neither 8 nor 16 bits: save it with 16');
  if (header.format === 'tiff' && await isRawInDisguise(file, header)) return unreadable('it is a raw file under another name: give it the ending the camera gave it');
  return shown(header.height, header.width, header.orientation ?? 1, frameFacts(await readTags(file, header), header.width));
}

async function rawHeader(file: string, preview: RawPreview): Promise<FrameHeader> {
  // The JPEG's own data say most of what the container does; where both speak, the container is nearer to the shot.
  const tags = { ...await parseTags(await previewCameraData(file, preview)), ...withoutGaps(preview.tags) };
  const problem = previewProblem(preview, tags);
  if (problem !== null) return unreadable(problem);
  return { ...shown(preview.header.rows, preview.header.columns, preview.orientation, previewFacts(preview, tags)), fromRaw: true };
}

/** Rows and columns as shown, after turning upright. */
function shown(rows: number, columns: number, orientation: number, facts: SourceFrame['facts']): FrameHeader {
  const turned = orientation >= 5;
  return { rows: turned ? columns : rows, columns: turned ? rows : columns, facts, problem: null };
}

/** A header of nothing, with what is wrong in words that fit after "IMG_1.jpg can't be read: ". */
export function unreadable(problem: string): FrameHeader {
  return { rows: 0, columns: 0, facts: noFacts, problem };
}

/** The library that comes with the program has no HEVC decoder; one that a system provides may. */
const readsHevc = async (): Promise<boolean> => (await loadSharp()).format.heif.input.fileSuffix?.includes('.heic') === true;

/** A decoder takes the thumbnail at the head of a raw file for the picture. */
async function isRawInDisguise(file: string, { width, height }: Metadata): Promise<boolean> {
  const preview = await findPreview(file).catch(() => null);
  return preview !== null && preview.header.rows * preview.header.columns > width * height;
}

const withoutGaps = (tags: ExifTags): ExifTags => Object.fromEntries(Object.entries(tags).filter(([, value]) => value !== undefined));
const marker = Buffer.from('Exif\0\0', 'latin1');

function readTags(file: string, { format, exif }: Metadata): Promise<ExifTags> {
  return parseTags(format === 'tiff' ? file : exif?.subarray(exif.subarray(0, marker.length).equals(marker) ? marker.length : 0));
}

const require = createRequire(import.meta.url);
/** Loaded where it is asked for; by import, Node would first read all of it through for the names of its exports. */
const exif = (): typeof import('exifr') => require('exifr') as typeof import('exifr');

/** Damaged camera data is no reason to lose a frame: it then counts as unwritten. */
async function parseTags(from: string | Buffer | undefined): Promise<ExifTags> {
  if (from === undefined) return {};
  try {
    return (await exif().parse(from, { pick: [...exifTags], translateValues: false, reviveValues: false }) as ExifTags | undefined) ?? {};
  } catch {
    return {};
  }
}
