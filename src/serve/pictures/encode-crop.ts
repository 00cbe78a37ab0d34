import sharp from 'sharp';
import { UserError } from '../../contract/errors.js';
import type { PixelLevel } from './pixel-level.js';

/**
 * Part of a level as a JPEG, colour at full resolution, at a quality whose losses don't show at 100 %.
 * The rectangle is cut down to what the level holds.
 * @throws UserError where nothing of it lies inside
 */
export async function encodeCrop(level: PixelLevel, row: number, column: number, rows: number, columns: number): Promise<Uint8Array> {
  const bottom = Math.min(level.rows, row + rows), right = Math.min(level.columns, column + columns);
  if (row >= bottom || column >= right) throw new UserError('That part lies outside the picture.', 'Go back to the whole picture with 0.');
  const width = right - column;
  const cut = new Uint8Array((bottom - row) * width * 3);
  for (let r = row; r < bottom; r++) {
    const from = (r * level.columns + column) * 3;
    cut.set(level.pixels.subarray(from, from + width * 3), (r - row) * width * 3);
  }
  return sharp(cut, { raw: { width, height: bottom - row, channels: 3 } }).jpeg({ quality: 92, chromaSubsampling: '4:4:4' }).toBuffer();
}
