import { open } from 'node:fs/promises';

const PART_BYTES = 1 << 20;

/**
 * Reads a file from end to end and keeps nothing. Decoders map files into memory, and where the drive has gone by then, the system ends the whole
 * program at the first page it can't have. What was read a moment ago it has still; and a drive that fails here gives an ordinary error.
 * @throws Error of the file system
 */
export async function readThrough(file: string): Promise<void> {
  const handle = await open(file, 'r');
  try {
    const part = Buffer.allocUnsafe(PART_BYTES);
    while ((await handle.read(part, 0, PART_BYTES, null)).bytesRead > 0);
  } finally {
    await handle.close();
  }
}
