import { TOO_MANY_PIXELS } from './most-pixels.js';

/** What to do with HEIF pictures that the picture library has no decoder for. */
export const HEVC_PROBLEM = 'it is HEIF coded with HEVC, which can’t be read here: export it as JPEG or TIFF';
const NO_ANSWER = 'its drive does not answer';

const phrases: readonly (readonly [RegExp, string])[] = [
  [/out of memory|cannot allocate|ENOMEM/i, 'there is too little memory for it: close other programs, then check again'],
  [/not an ordinary file/, 'it is not an ordinary file'],
  [/no preview in the raw file/, 'it holds no JPEG of the camera’s that can be measured: develop it to JPEG or TIFF'],
  [/heif.*(?:hevc|hvcC|no decoding plugin|unsupported (?:codec|feature))/is, HEVC_PROBLEM],
  [/premature end|read error|not enough|unexpected end|truncat|read gave|out of (?:order|bounds)|IDAT|corrupt header|unable to parse/i, 'it is damaged or not complete'],
  [/exceeds pixel limit|too large|Maximum.*exceeded/i, TOO_MANY_PIXELS],
  // Windows says of a drive that has gone nothing but this.
  [/UNKNOWN: unknown error/, NO_ANSWER],
  [/EBUSY|resource busy/i, 'another program keeps it locked: close that, then check again'],
  [/unsupported image format|unknown/i, 'it is not a picture, or it is damaged from the start'],
  [/ENOENT|Input file is missing|no such file/i, 'it has gone since the folder was listed, or is a link to nothing'],
  [/EACCES|EPERM|permission/i, 'it may not be read (no permission)'],
  [/ELOOP/i, 'it is a link that leads back to itself'],
  [/EIO|ENXIO|ENODEV|ESTALE|ENOTCONN|ECONNABORTED|EHOSTDOWN|EHOSTUNREACH|ETIMEDOUT|unable to open|unable to read/i, NO_ANSWER],
];

/** Why a file can't be read, in words that fit after "IMG_1.jpg can't be read: ". */
export function describeReadError(error: unknown): string {
  const message = error instanceof Error ? error.message : String(error);
  const known = phrases.find(([pattern]) => pattern.test(message));
  return known ? known[1] : `it is damaged (${message.split('\n')[0].trim()})`;
}
