import { stat } from 'node:fs/promises';
import exifr from 'exifr';
import sharp from 'sharp';
import type { SourceFrame } from '../pipeline/frame-source.js';
import { describeReadError } from './describe-read-error.js';
import { exifTags, frameFacts, noFacts, type ExifTags } from './frame-facts.js';
import { isFrameContent } from './frame-formats.js';

export type FrameHeader = Pick<SourceFrame, 'rows' | 'columns' | 'facts' | 'problem'>;

/** Size and camera facts of one file, without decoding it. Never throws: what is wrong with the file is its `problem`. */
export async function readHeader(file: string): Promise<FrameHeader> {
  try {
    const found = await stat(file);
    // A pipe or a device would make the reader wait for ever.
    if (!found.isFile()) return unreadable('it is not an ordinary file');
    if (found.size === 0) return unreadable('it is empty (0 bytes)');
    const header = await sharp(file, { limitInputPixels: true }).metadata();
    if (!isFrameContent(header.format)) return unreadable(`it holds ${header.format ?? 'something else'}, not JPEG, PNG, TIFF or WebP`);
    // Samples of other kinds carry no agreed scale from black to white.
    if (header.depth !== 'uchar' && header.depth !== 'ushort') return unreadable('its samples have neither 8 nor 16 bits: save it with 16');
    const tags = await readTags(file, header.format, header.exif);
    const turned = (header.orientation ?? 1) >= 5;
    return {
      rows: turned ? header.width : header.height,
      columns: turned ? header.height : header.width,
      facts: frameFacts(tags, header.width),
      problem: null,
    };
  } catch (error) {
    return unreadable(describeReadError(error));
  }
}

function unreadable(problem: string): FrameHeader {
  return { rows: 0, columns: 0, facts: noFacts, problem };
}

const marker = Buffer.from('Exif\0\0', 'latin1');

/** Damaged camera data is no reason to lose a frame: it then counts as unwritten. */
async function readTags(file: string, format: string, exif: Buffer | undefined): Promise<ExifTags> {
  const from = format === 'tiff' ? file : exif?.subarray(exif.subarray(0, marker.length).equals(marker) ? marker.length : 0);
  if (from === undefined) return {};
  try {
    return (await exifr.parse(from, { pick: [...exifTags], translateValues: false, reviveValues: false }) as ExifTags | undefined) ?? {};
  } catch {
    return {};
  }
}
