import type { ExifTags } from '../frame-facts.js';

/** What a raw file's container names, before anything named is looked at. */
export interface RawContents {
  /** Where JPEG pictures may lie, as bytes of the file. */
  candidates: { at: number; length: number }[];
  /** What the camera wrote about the shot. */
  tags: ExifTags;
  /** EXIF orientation of the shot, 1…8. */
  orientation: number;
  /** Width of the shot in pixels; 0: not known. */
  columns: number;
}

export const nothingFound = (): RawContents => ({ candidates: [], tags: {}, orientation: 1, columns: 0 });
