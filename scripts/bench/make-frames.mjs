import { existsSync, mkdirSync, renameSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';

const COLUMNS = 6000, ROWS = 4000, BANDS = 10;

/** Repeatable noise, 0…1 (Marsaglia's xorshift32). */
function noise(seed) {
  let state = seed;
  return () => {
    state ^= state << 13; state ^= state >>> 17; state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
}

/** Grainy texture with detail down to the pixel: noise of several sizes added up. */
async function texture() {
  const random = noise(20261125);
  const layers = await Promise.all([1, 5, 25].map((coarser) => {
    const columns = COLUMNS / (2 * coarser), rows = ROWS / (2 * coarser);
    const pixels = Uint8Array.from({ length: columns * rows * 3 }, () => 40 + 176 * random());
    return sharp(pixels, { raw: { width: columns, height: rows, channels: 3 } }).resize(COLUMNS, ROWS, { kernel: 'cubic' }).png({ compressionLevel: 1 }).toBuffer();
  }));
  return sharp(layers[0]).composite([{ input: layers[1], blend: 'soft-light' }, { input: layers[2], blend: 'overlay' }]).removeAlpha().png({ compressionLevel: 1 }).toBuffer();
}

/**
 * 24-megapixel JPEG frames of a slope focused from one end to the other, made once and kept in the system's temporary folder.
 * Defocus is a plain blur: good enough to time a run, not to judge the measurement.
 * @returns their folder
 */
export async function makeFrames(count) {
  const folder = path.join(tmpdir(), `rungwise-bench-${COLUMNS}x${ROWS}-${count}`);
  if (existsSync(folder)) return folder;
  const aside = `${folder}.${process.pid}.part`;
  mkdirSync(aside, { recursive: true });
  const sharpPicture = await texture(), band = COLUMNS / BANDS;
  for (let k = 0; k < count; k++) {
    const strips = await Promise.all(Array.from({ length: BANDS }, async (_, b) => {
      const blur = Math.abs((k / (count - 1)) * (BANDS - 1) - b);
      const strip = sharp(sharpPicture).extract({ left: b * band, top: 0, width: band, height: ROWS });
      return { input: await (blur > 0.3 ? strip.blur(1.2 * blur) : strip).png({ compressionLevel: 1 }).toBuffer(), left: b * band, top: 0 };
    }));
    const name = `B${String(k + 1).padStart(4, '0')}.jpg`;
    await sharp({ create: { width: COLUMNS, height: ROWS, channels: 3, background: '#808080' } }).composite(strips)
      .jpeg({ quality: 92, chromaSubsampling: '4:2:0' }).toFile(path.join(aside, name));
    process.stderr.write(`made ${name}\n`);
  }
  renameSync(aside, folder);
  return folder;
}
