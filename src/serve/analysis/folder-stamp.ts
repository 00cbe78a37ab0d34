import { createHash } from 'node:crypto';
import { stat } from 'node:fs/promises';
import path from 'node:path';
import { listFrameFiles } from '../../io/list-frame-files.js';

/**
 * Changes when a frame of the folder appears, vanishes or is written anew.
 * @throws UserError as listFrameFiles does
 */
export async function folderStamp(folder: string): Promise<string> {
  const files = (await listFrameFiles(folder)).sort();
  const stamps = await Promise.all(files.map((file) => sizeAndTime(path.join(folder, file))));
  return createHash('sha256').update(files.map((file, i) => `${file}\n${stamps[i]}`).join('\n')).digest('hex');
}

/** Size and time of change of one file. */
export async function sizeAndTime(file: string): Promise<string> {
  const found = await stat(file).catch(() => null);
  return found === null ? 'gone' : `${found.size}:${found.mtimeMs}`;
}
