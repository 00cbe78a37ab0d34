import { realpath } from 'node:fs/promises';
import path from 'node:path';
import { isInside } from './is-inside.js';

/**
 * Whether a place, which need not exist yet, is a folder or lies in it, whatever links lead there.
 * @param place, folder absolute
 */
export async function liesIn(place: string, folder: string): Promise<boolean> {
  const [at, source] = await Promise.all([withoutLinks(place), withoutLinks(folder)]);
  return at === source || isInside(at, source);
}

/** Links resolved as far as anything exists. */
async function withoutLinks(place: string): Promise<string> {
  const found = await realpath(place).catch(() => null), parent = path.dirname(place);
  if (found !== null || parent === place) return found ?? place;
  return path.join(await withoutLinks(parent), path.basename(place));
}
