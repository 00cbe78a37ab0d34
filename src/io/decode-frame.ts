import { readFile } from 'node:fs/promises';
import type { Metadata, Sharp } from 'sharp';
import { isFrameContent } from './frame-formats.js';
import { isPlainSrgbProfile } from './is-plain-srgb-profile.js';
import { loadSharp } from './load-sharp.js';
import { pictureInput } from './picture-input.js';
import { readMetadata } from './read-metadata.js';

export interface DecodedFrame {
  /** Interleaved sRGB samples, upright. */
  pixels: Uint8Array | Uint16Array;
  rows: number;
  columns: number;
  channels: number;
  /** Pixels per axis that the decoder has averaged already: 1, 2, 4 or 8. */
  shrink: number;
}

/**
 * Decodes one file to sRGB, turned upright by its EXIF orientation; 16-bit files keep 16 bits.
 * Any complaint of the decoder about the picture data is an error: half a frame must not be measured as a whole one.
 *
 * @param averaged pixels per axis that the caller is going to average: a JPEG decoder does that, as far as it can, from a block's frequencies
 * (jidctred.c of libjpeg-turbo) in half the time. Its averages are of sRGB codes, which are all but in proportion to the √luminance that is measured
 * @throws Error with the decoder's message where the file is missing, damaged, cut short or no picture
 */
export async function decodeFrame(file: string, averaged = 1): Promise<DecodedFrame> {
  const input = await pictureInput(file);
  const header = typeof input === 'string' ? await readMetadata(input) : await (await loadSharp())(input).metadata();
  if (!isFrameContent(header.format)) throw new Error('unsupported image format');
  const shrink = header.format === 'jpeg' && typeof input === 'string' ? [8, 4, 2, 1].find((by) => averaged % by === 0)! : 1;
  // The loader's own option, in the brackets that libvips reads behind a file's name: sharp's resize would not halve exactly.
  const from = shrink > 1 ? `${input as string}[shrink=${shrink}]` : header.format === 'jpeg' && typeof input === 'string' ? await readFile(input) : input;
  return { ...await decode(from, header), shrink };
}

async function decode(input: string | Buffer, header: Metadata): Promise<Omit<DecodedFrame, 'shrink'>> {
  const deep = header.depth === 'ushort', sharp = await loadSharp();
  const picture = sharp(input, { failOn: 'warning', limitInputPixels: true, ignoreIcc: isPlainSrgb(header) }).autoOrient();
  const { data, info } = await toSrgb(picture, header, deep).raw({ depth: deep ? 'ushort' : 'uchar' }).toBuffer({ resolveWithObject: true });
  const pixels = deep ? new Uint16Array(data.buffer, data.byteOffset, data.byteLength / 2) : data;
  return { pixels, rows: info.height, columns: info.width, channels: info.channels };
}

/** Other profiles and colour models (Adobe RGB, P3, CMYK) are converted by sharp; 16 bits have to be asked for. */
function toSrgb(picture: Sharp, header: Metadata, deep: boolean): Sharp {
  if (!deep) return picture;
  return picture.toColourspace(header.channels < 3 ? 'grey16' : 'rgb16');
}

/** Converting from sRGB to sRGB changes nothing and costs as much time as decoding. */
function isPlainSrgb(header: Metadata): boolean {
  return header.icc !== undefined && header.space !== 'cmyk' && isPlainSrgbProfile(header.icc.toString('latin1'));
}
