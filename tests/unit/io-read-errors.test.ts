import { describe, expect, it } from 'vitest';
import { describeReadError } from '../../src/io/describe-read-error.js';

/** What Node (libuv's list of error names), libvips and libheif say, and what a photographer is to read. */
describe('describeReadError', () => {
  it.each<[said: string, words: RegExp]>([
    ['ENOENT: no such file or directory, open ‘x.jpg’', /gone since the folder was listed/],
    ['EACCES: permission denied, open ‘x.jpg’', /no permission/],
    ['EPERM: operation not permitted, open ‘x.jpg’', /no permission/],
    ['ELOOP: too many symbolic links encountered', /link that leads back to itself/],
    ...['EIO: i/o error, read', 'ENXIO: no such device or address', 'ENODEV: no such device', 'ESTALE: stale file handle', 'ENOTCONN: socket is not connected', 'EHOSTDOWN: host is down',
      'EHOSTUNREACH: host is unreachable', 'ETIMEDOUT: connection timed out', 'ECONNABORTED: software caused connection abort', 'UNKNOWN: unknown error, read'].map((said): [string, RegExp] => [said, /^its drive does not answer$/]),
    ['EBUSY: resource busy or locked, open ‘x.jpg’', /another program keeps it locked: close that/],
    ['ENOMEM: not enough memory', /too little memory/],
    ['vips_tracked: out of memory --- size == 805MB', /too little memory/],
    ['Input image exceeds pixel limit', /more pixels than can be read/],
    ['VipsJpeg: Premature end of input file', /damaged or not complete/],
    ['truncated: the file ends before its preview does', /damaged or not complete/],
    ['Input file contains unsupported image format', /not a picture, or it is damaged from the start/],
    ['heif: Unsupported feature: Unsupported codec (4.3000)', /HEVC.*export it/],
    ['something nobody has met yet\nin two lines', /^it is damaged \(something nobody has met yet\)$/],
  ])('"%s"', (said, words) => expect(describeReadError(new Error(said))).toMatch(words));
});
