import { open } from 'node:fs/promises';
import type { ExifTags } from '../frame-facts.js';
import { fileBytes, partOf, type ByteSource } from './byte-source.js';
import { cr3Contents } from './cr3-contents.js';
import { jpegHeader, type JpegHeader } from './jpeg-header.js';
import { rafContents } from './raf-contents.js';
import type { RawContents } from './raw-contents.js';
import { tiffContents } from './tiff-contents.js';

/** The largest JPEG that a camera put into its raw file. */
export interface RawPreview {
  /** The file's bytes that are the JPEG. */
  at: number;
  length: number;
  header: JpegHeader;
  /** How it is turned upright: what it says itself, else what the raw file says of the shot. */
  orientation: number;
  tags: ExifTags;
  /** Width of the shot by the container, as stored; 0: not known. */
  shotColumns: number;
}

/** Cameras write three or four. */
const MOST_CANDIDATES = 40;

/**
 * @returns null where the file is no raw file of a known build, or holds no JPEG
 * @throws Error of the file system; Error saying "truncated" where the file ends before its largest preview does
 */
export async function findPreview(file: string): Promise<RawPreview | null> {
  const handle = await open(file, 'r');
  try {
    const { size } = await handle.stat();
    const bytes = fileBytes(handle, size);
    const contents = await rafContents(bytes) ?? await cr3Contents(bytes) ?? await tiffContents(bytes);
    return contents && await largest(bytes, contents);
  } finally {
    await handle.close();
  }
}

async function largest(bytes: ByteSource, contents: RawContents): Promise<RawPreview | null> {
  let best: RawPreview | null = null;
  for (const { at, length } of contents.candidates.slice(0, MOST_CANDIDATES)) {
    if (!(at > 0 && length > 0 && at < bytes.size)) continue;
    const header = await jpegHeader(partOf(bytes, at, length));
    if (header === null || header.rows * header.columns <= (best ? best.header.rows * best.header.columns : 0)) continue;
    best = { at, length, header, orientation: header.orientation ?? contents.orientation, tags: contents.tags, shotColumns: contents.columns };
  }
  // A smaller one in its place would judge half the detail and say nothing.
  if (best && best.at + best.length > bytes.size) throw new Error('truncated: the file ends before its preview does');
  return best;
}
