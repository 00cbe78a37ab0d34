import { loadSharp } from '../../io/load-sharp.js';
import type { LevelPart } from './compose-sharpest.js';
import type { PixelLevel } from './pixel-level.js';

/** Part of a level as a JPEG, colour at full resolution, at a quality whose losses don't show at 100 %. */
export async function encodeCrop(level: PixelLevel, { row, column, rows, columns }: LevelPart): Promise<Uint8Array> {
  const whole = row === 0 && column === 0 && rows === level.rows && columns === level.columns;
  const cut = whole ? level.pixels : new Uint8Array(rows * columns * 3);
  if (!whole) {
    for (let r = 0; r < rows; r++) {
      const from = ((row + r) * level.columns + column) * 3;
      cut.set(level.pixels.subarray(from, from + columns * 3), r * columns * 3);
    }
  }
  return (await loadSharp())(cut, { raw: { width: columns, height: rows, channels: 3 } }).jpeg({ quality: 92, chromaSubsampling: '4:4:4' }).toBuffer();
}
