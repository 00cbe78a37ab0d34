import { readdir } from 'node:fs/promises';
import { homedir } from 'node:os';
import path from 'node:path';
import { UserError } from '../../contract/errors.js';
import type { FolderListing } from '../../contract/host.js';

const PICTURE = /\.(jpe?g|png|tiff?|webp)$/i;
const MOST_FOLDERS = 400;

/** Names of the folders inside one, with how many pictures each holds: all that is needed to pick a stack where there is no system dialog. */
export async function listFolders(folder: string | null): Promise<FolderListing> {
  const at = path.resolve(folder ?? homedir());
  const entries = await readdir(at, { withFileTypes: true }).catch(() => {
    throw new UserError(`${at} can't be read.`, 'Choose another folder, or check that the drive is connected.');
  });
  const visible = entries.filter((entry) => entry.isDirectory() && !entry.name.startsWith('.'));
  visible.sort((a, b) => a.name.localeCompare(b.name, undefined, { numeric: true }));
  const folders = await Promise.all(visible.slice(0, MOST_FOLDERS).map(async (entry) => {
    const inside = path.join(at, entry.name);
    return { name: entry.name, folder: inside, pictures: await countPictures(inside) };
  }));
  const parent = path.dirname(at);
  return { folder: at, parent: parent === at ? null : parent, folders, pictures: entries.filter((e) => isPicture(e.name)).length };
}

export const isPicture = (name: string): boolean => !name.startsWith('.') && PICTURE.test(name);

async function countPictures(folder: string): Promise<number> {
  try {
    return (await readdir(folder)).filter(isPicture).length;
  } catch {
    return 0;
  }
}
