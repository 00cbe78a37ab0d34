import type { FrameFacts } from '../../pipeline/frame-source.js';
import { frameFacts, type ExifTags } from '../frame-facts.js';
import { MOST_PIXELS, TOO_MANY_PIXELS } from '../most-pixels.js';
import type { RawPreview } from './find-preview.js';

/** Sensors are a little wider than the pictures cameras make of them. */
const AS_LARGE = 1.05;
/** Below this a preview shows whether there is a picture, not where it is sharp. */
const LEAST_COLUMNS = 800;

const shotColumns = (preview: RawPreview, tags: ExifTags): number => preview.shotColumns || Number(tags.ExifImageWidth) || preview.header.columns;

/** @returns why the preview can't stand for the shot, in words that fit after "P1.orf can't be read: "; null where it can */
export function previewProblem(preview: RawPreview, tags: ExifTags): string | null {
  const { columns, rows } = preview.header, edge = Math.max(columns, rows);
  if (columns * rows > MOST_PIXELS) return TOO_MANY_PIXELS;
  if (edge >= LEAST_COLUMNS || shotColumns(preview, tags) <= columns * AS_LARGE) return null;
  return `its only JPEG is ${columns} × ${rows} pixels small: develop it to JPEG or TIFF`;
}

/**
 * What the camera wrote, for a picture that may be smaller than the shot it describes.
 * @param tags of the container and of the preview
 */
export function previewFacts(preview: RawPreview, tags: ExifTags): FrameFacts {
  const shot = shotColumns(preview, tags), span = shot / preview.header.columns;
  // The tags speak of the shot; that its preview is smaller is known, and no sign of later editing.
  const facts = frameFacts({ ...tags, ExifImageWidth: shot }, shot);
  return span > AS_LARGE ? { ...facts, sensorPixelsPerPixel: span } : facts;
}
