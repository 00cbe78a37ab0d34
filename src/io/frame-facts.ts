import type { FrameFacts } from '../pipeline/frame-source.js';
import { rigLimits } from './rig-limits.js';

/** The tags asked of a file, by their names in the EXIF standard (2.3). */
export const exifTags = ['Make', 'Model', 'FNumber', 'FocalLength', 'FocalPlaneXResolution', 'FocalPlaneYResolution', 'FocalPlaneResolutionUnit',
  'ExifImageWidth', 'DateTimeOriginal', 'SubSecTimeOriginal'] as const;
export type ExifTags = Partial<Record<(typeof exifTags)[number], unknown>>;

export const noFacts: FrameFacts = { cameraModel: null, fNumber: null, focalLengthMm: null, pixelPitchUm: null, captureTimeMs: null };

/**
 * What the camera wrote, with everything that is no measurement taken as unknown: a manual lens writes an aperture
 * of 0 or 0/0.
 * @param tags values as written, neither translated nor revived
 * @param storedColumns width of the picture as stored, before it is turned upright
 */
export function frameFacts(tags: ExifTags, storedColumns: number): FrameFacts {
  return {
    cameraModel: text(tags.Model),
    fNumber: within(tags.FNumber, rigLimits.fNumber),
    focalLengthMm: within(tags.FocalLength, { min: 0.5, max: 5000 }),
    pixelPitchUm: pixelPitchUm(tags, storedColumns),
    captureTimeMs: captureTimeMs(tags),
    ...otherColumns(tags, storedColumns),
  };
}

/** Cameras write the width they shot; editors that resize or crop often leave it so. */
function otherColumns(tags: ExifTags, storedColumns: number): Pick<FrameFacts, 'otherColumns'> {
  const written = within(tags.ExifImageWidth, { min: 1, max: 100_000 });
  return written === null || written === storedColumns ? {} : { otherColumns: written };
}

/** EXIF 2.3: pixels per unit in the plane of focus; unit 2 is the inch (and the default), 3 the centimetre. */
function pixelPitchUm(tags: ExifTags, storedColumns: number): number | null {
  // A resized or cropped file keeps the tags of the one it came from; its own width tells.
  if (Number(tags.ExifImageWidth) !== storedColumns) return null;
  const unitUm = { 2: 25_400, 3: 10_000 }[Number(tags.FocalPlaneResolutionUnit ?? 2)];
  const perUnit = within(tags.FocalPlaneXResolution, { min: Number.MIN_VALUE, max: Number.MAX_VALUE });
  if (unitUm === undefined || perUnit === null) return null;
  const down = within(tags.FocalPlaneYResolution, { min: Number.MIN_VALUE, max: Number.MAX_VALUE });
  // Pixels are square; tags that say otherwise describe something else.
  if (down !== null && Math.abs(down / perUnit - 1) > 0.02) return null;
  return within(unitUm / perUnit, rigLimits.pixelPitchUm);
}

/** The camera's own clock, read as if it were UTC: only differences count. Null where it was never set. */
function captureTimeMs(tags: ExifTags): number | null {
  const stamp = /^(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d):(\d\d)/.exec(String(tags.DateTimeOriginal ?? ''));
  if (!stamp || stamp[1] === '0000') return null;
  const [year, month, day, hour, minute, second] = stamp.slice(1).map(Number);
  const parts = /^\d+/.exec(String(tags.SubSecTimeOriginal ?? '').trim());
  return Date.UTC(year, month - 1, day, hour, minute, second) + (parts ? Math.round(1000 * Number(`0.${parts[0]}`)) : 0);
}

function within(value: unknown, limit: { min: number; max: number }): number | null {
  return typeof value === 'number' && value >= limit.min && value <= limit.max ? value : null;
}

function text(value: unknown): string | null {
  const trimmed = typeof value === 'string' ? value.replace(/\0/g, '').trim() : '';
  return trimmed === '' ? null : trimmed;
}
