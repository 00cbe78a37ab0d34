import { open } from 'node:fs/promises';
import { boxesIn } from './raw/boxes.js';
import { fileBytes } from './raw/byte-source.js';

/** Brands of HEIF files coded with HEVC (ISO/IEC 23008-12, annex B). */
const brands = new Set(['heic', 'heix', 'heim', 'heis', 'hevc', 'hevx']);
const MOST_BRANDS_BYTES = 256;

/** Whether a file says of itself that it is HEIF coded with HEVC. Never throws. */
export async function isHevc(file: string): Promise<boolean> {
  const handle = await open(file, 'r').catch(() => null);
  if (handle === null) return false;
  try {
    const bytes = fileBytes(handle, (await handle.stat()).size);
    const [first] = await boxesIn(bytes, 0, bytes.size);
    if (first?.type !== 'ftyp') return false;
    const named = (await bytes.read(first.at, Math.min(first.length, MOST_BRANDS_BYTES))).toString('latin1');
    return Array.from({ length: Math.floor(named.length / 4) }, (_, i) => named.slice(4 * i, 4 * i + 4)).some((brand) => brands.has(brand));
  } catch {
    return false;
  } finally {
    await handle.close();
  }
}
