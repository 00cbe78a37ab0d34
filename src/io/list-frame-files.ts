import { readdir, stat } from 'node:fs/promises';
import path from 'node:path';
import { UserError } from '../contract/errors.js';
import { isFrameName } from './frame-formats.js';

/**
 * Names of the files in a folder that look like frames; subfolders are not entered, so a loop of links can't trap it.
 * @throws UserError where the folder is missing, is no folder, can't be read, or holds no frames
 */
export async function listFrameFiles(folder: string): Promise<string[]> {
  await requireFolder(folder);
  const entries = await readdir(folder, { withFileTypes: true }).catch((error: NodeJS.ErrnoException) => { throw cannotOpen(folder, error); });
  const names = entries.filter((entry) => !entry.isDirectory()).map((entry) => entry.name);
  const frames = names.filter(isFrameName);
  if (frames.length > 0) return frames;
  const inside = entries.filter((entry) => entry.isDirectory() && !entry.name.startsWith('.')).map((entry) => entry.name);
  const hint = inside.length > 0 ? ` It holds ${inside.length === 1 ? 'a folder' : 'folders'} (${inside.slice(0, 3).join(', ')}${inside.length > 3 ? ', …' : ''}): name the one with the stack.` : '';
  throw new UserError(entries.length === 0 ? `${folder} is empty.` : `${folder} holds no pictures.`,
    `Name the folder that holds the frames of one stack as JPEG, TIFF, PNG, WebP, AVIF or raw files.${hint}`);
}

async function requireFolder(folder: string): Promise<void> {
  const found = await stat(folder).catch((error: NodeJS.ErrnoException) => { throw cannotOpen(folder, error); });
  if (found.isDirectory()) return;
  const parent = path.dirname(folder);
  throw new UserError(`${folder} is a file, not a folder.`, `Name the folder that holds the stack${isFrameName(path.basename(folder)) ? `, perhaps ${parent}` : ''}.`);
}

function cannotOpen(folder: string, error: NodeJS.ErrnoException): UserError {
  switch (error.code) {
    case 'ENOENT':
    case 'ENOTDIR': return new UserError(`There is no folder ${folder}.`, 'Check the name; put it in quotes if it holds spaces.');
    case 'EACCES':
    case 'EPERM': return new UserError(`The folder ${folder} may not be read.`, 'Ask for permission to read it, or copy the frames to a folder of your own.');
    case 'ELOOP': return new UserError(`${folder} is a link that leads back to itself.`, 'Name the folder itself.');
    default: return new UserError(`The folder ${folder} can't be read (${error.code ?? error.message}).`, 'Check that its drive is connected, then try again.');
  }
}
