import { access, constants, open, realpath, rename, stat, unlink } from 'node:fs/promises';
import { unlinkSync } from 'node:fs';
import path from 'node:path';
import { UserError } from '../contract/errors.js';
import { isInside } from './is-inside.js';

/** Half-written files that an abrupt end must take with it. */
const unfinished = new Set<string>();
process.on('exit', () => {
  for (const file of unfinished) {
    try { unlinkSync(file); } catch { /* already gone */ }
  }
});

/**
 * Checks, before any work is done, that a result may be written there.
 * @param sourceFolder the stack's folder, which is never written to
 * @returns the place as an absolute path, links resolved
 * @throws UserError where the folder does not exist or may not be written, the target is a folder, or it lies inside the stack's folder
 */
export async function checkTarget(file: string, sourceFolder: string | null): Promise<string> {
  const folder = await realpath(path.dirname(path.resolve(file))).catch(() => {
    throw new UserError(`${file} can't be written: there is no folder ${path.dirname(path.resolve(file))}.`, 'Make the folder first, or name another.');
  });
  const named = path.join(folder, path.basename(file));
  const target = await realpath(named).catch(() => named);
  if ((await stat(target).catch(() => null))?.isDirectory()) throw new UserError(`${file} is a folder.`, 'Name a file to write to.');
  const source = sourceFolder === null ? null : await realpath(sourceFolder).catch(() => path.resolve(sourceFolder));
  if (source !== null && isInside(target, source)) {
    throw new UserError(`${file} lies in the stack's own folder, which is never written to.`, 'Name a file somewhere else.');
  }
  // Told before a long analysis rather than after it. A file that is there is replaced, so the folder is what counts; devices stand for themselves.
  const place = (await stat(target).catch(() => null))?.isFile() === false ? target : path.dirname(target);
  await access(place, constants.W_OK).catch((error: NodeJS.ErrnoException) => { throw cannotWrite(file, error); });
  return target;
}

/**
 * Writes a whole file or none: to a temporary name beside it, then renamed. Devices and pipes are written to directly.
 * @param sourceFolder the stack's folder, which is never written to; null where there is none
 * @throws UserError where it can't be written, with the reason
 */
export async function writeFileSafely(file: string, content: string | Uint8Array, sourceFolder: string | null): Promise<void> {
  const target = await checkTarget(file, sourceFolder);
  const existing = await stat(target).catch(() => null);
  try {
    if (existing !== null && !existing.isFile()) await writeWhole(target, content, 'w');
    else await writeAside(target, content);
  } catch (error) {
    throw cannotWrite(file, error as NodeJS.ErrnoException);
  }
}

async function writeAside(target: string, content: string | Uint8Array): Promise<void> {
  const { randomBytes } = await import('node:crypto');
  const aside = path.join(path.dirname(target), `.${path.basename(target)}.${randomBytes(4).toString('hex')}.part`);
  unfinished.add(aside);
  try {
    await writeWhole(aside, content, 'wx');
    await rename(aside, target);
  } catch (error) {
    await unlink(aside).catch(() => undefined);
    throw error;
  } finally {
    unfinished.delete(aside);
  }
}

async function writeWhole(file: string, content: string | Uint8Array, flags: 'w' | 'wx'): Promise<void> {
  const handle = await open(file, flags);
  try {
    await handle.writeFile(content);
    // On disk before the rename, so that a power cut leaves the old file or the new one. Pipes can't be synced.
    if (flags === 'wx') await handle.sync();
  } finally {
    await handle.close();
  }
}

function cannotWrite(file: string, error: NodeJS.ErrnoException): UserError {
  switch (error.code) {
    case 'EACCES':
    case 'EPERM':
    case 'EROFS': return new UserError(`${file} may not be written there.`, 'Name a folder you may write to.');
    case 'ENOSPC':
    case 'EDQUOT': return new UserError(`${file} was not written: the disk is full.`, 'Make room, or name another drive.');
    default: return new UserError(`${file} can't be written (${error.code ?? error.message}).`, 'Name another place.');
  }
}
