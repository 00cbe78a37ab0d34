import { existsSync, linkSync, mkdirSync, readdirSync, renameSync } from 'node:fs';
import path from 'node:path';

/**
 * The frames of a folder under so many names in another, each as often as the next and in the same order: many frames on little disk.
 * @returns that folder, beside the first
 */
export function linkFrames(from, count) {
  const folder = `${from}-as-${count}`;
  if (existsSync(folder)) return folder;
  const aside = `${folder}.${process.pid}.part`, files = readdirSync(from).sort();
  mkdirSync(aside);
  for (let k = 0; k < count; k++) linkSync(path.join(from, files[Math.floor((k * files.length) / count)]), path.join(aside, `L${String(k + 1).padStart(4, '0')}.jpg`));
  renameSync(aside, folder);
  return folder;
}
