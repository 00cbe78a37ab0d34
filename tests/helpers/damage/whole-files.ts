import sharp from 'sharp';
import { noise, noisePicture } from '../../unit/io-helpers/picture.js';
import { rawFile, rawKinds } from '../../unit/io-helpers/raw-files.js';
import { tiff16 } from '../../unit/io-helpers/tiff16.js';

export interface WholeFile { ending: string; bytes: Buffer }

/** One small, whole file of every kind that is read, to be damaged. */
export async function wholeFiles(): Promise<WholeFile[]> {
  const picture = noisePicture(96, 64, 3), random = noise(8);
  const exif = { IFD0: { Model: 'Bench camera' }, IFD2: { FNumber: '28/10', DateTimeOriginal: '2026:11:20 10:11:12' } };
  const jpeg = await picture.clone().jpeg().withExif(exif).withIccProfile('p3').toBuffer();
  const samples = Uint16Array.from({ length: 96 * 64 * 3 }, () => 65536 * random());
  const shot = { full: jpeg, thumbnail: await noisePicture(32, 24).jpeg().toBuffer(), orientation: 6, columns: 96, rows: 64 };
  return [
    { ending: 'jpg', bytes: jpeg },
    { ending: 'jpg', bytes: await picture.clone().jpeg({ progressive: true }).toBuffer() },
    { ending: 'png', bytes: await picture.clone().png().withExif(exif).toBuffer() },
    { ending: 'png', bytes: await sharp(samples, { raw: { width: 96, height: 64, channels: 3 } }).toColourspace('rgb16').png().toBuffer() },
    { ending: 'tif', bytes: await picture.clone().tiff({ compression: 'lzw' }).toBuffer() },
    { ending: 'tif', bytes: tiff16(96, 64, samples, { model: 'Bench camera', fNumber: [28, 10], taken: '2026:11:20 10:11:12' }) },
    { ending: 'webp', bytes: await picture.clone().webp().toBuffer() },
    { ending: 'avif', bytes: await picture.clone().avif({ effort: 0 }).toBuffer() },
    ...rawKinds.map((kind) => ({ ending: kind, bytes: rawFile(kind, shot) })),
  ];
}
