import { mkdir, rename, rm, writeFile } from 'node:fs/promises';
import path from 'node:path';

/** Writes beside the target and renames, so that a reader or a crash never meets half a file. */
export async function writeWholeFile(file: string, text: string): Promise<void> {
  await mkdir(path.dirname(file), { recursive: true });
  const beside = `${file}.${process.pid}.part`;
  try {
    await writeFile(beside, text);
    await rename(beside, file);
  } catch (error) {
    await rm(beside, { force: true });
    throw error;
  }
}
