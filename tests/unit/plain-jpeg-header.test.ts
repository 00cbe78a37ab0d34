import sharp, { type JpegOptions } from 'sharp';
import { describe, expect, it } from 'vitest';
import { plainJpegHeader } from '../../src/io/plain-jpeg-header.js';

/** The picture library, which made the files, is the reference. */
const made = (rows: number, columns: number, options: JpegOptions = {}, orientation?: number, grey = false): Promise<Buffer> => {
  const pixels = Uint8Array.from({ length: rows * columns * 3 }, (_, i) => (i * 7919) % 251), picture = sharp(pixels, { raw: { width: columns, height: rows, channels: 3 } });
  return (grey ? picture.greyscale() : picture).withMetadata({ orientation, exif: { IFD0: { Model: 'Bench 1' } } }).jpeg(options).toBuffer();
};

describe('plainJpegHeader', () => {
  it.each([
    ['a colour picture', made(40, 61)], ['one in grey', made(33, 48, {}, undefined, true)], ['one that lies on its side', made(40, 61, {}, 6)],
    ['one with all its colour', made(17, 90, { chromaSubsampling: '4:4:4' }, 3)],
  ])('says of %s what the picture library says', async (_, making) => {
    const file = await making, header = (await plainJpegHeader(file))!, { width, height, orientation, exif } = await sharp(file).metadata();
    expect([header.rows, header.columns, header.orientation ?? 1]).toEqual([height, width, orientation ?? 1]);
    // Marker and length stand before the segment's content; the library leaves out the content's own head at times.
    const content = file.subarray(header.exif!.at + 4, header.exif!.at + header.exif!.length);
    expect(content.equals(exif!) || content.subarray(6).equals(exif!)).toBe(true);
  });
  it('leaves what is unusual, cut short or damaged to the library', async () => {
    const file = await made(40, 61);
    expect(await plainJpegHeader(await made(40, 61, { progressive: true }))).toBeNull();
    expect(await plainJpegHeader(await sharp(file).toColourspace('cmyk').jpeg().toBuffer())).toBeNull();
    expect(await plainJpegHeader(file.subarray(0, 300))).toBeNull();
    expect(await plainJpegHeader(await sharp(file).png().toBuffer())).toBeNull();
    const huge = Buffer.from(file), frame = huge.indexOf(Buffer.from([0xff, 0xc0]));
    huge.writeUInt32BE(0xffffffff, frame + 5);
    expect(await plainJpegHeader(huge)).toBeNull();
  });
});
