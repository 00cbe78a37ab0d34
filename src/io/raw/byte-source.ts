import type { FileHandle } from 'node:fs/promises';

/** Bytes that can be read anywhere: a file, or a part of one. */
export interface ByteSource {
  readonly size: number;
  /** @returns fewer bytes than asked for, or none, beyond the end */
  read(at: number, length: number): Promise<Buffer>;
}

const BLOCK_BYTES = 32_768;
const KEPT_BLOCKS = 16;

/** Directories are read a few bytes at a time; blocks spare the drive. */
export function fileBytes(handle: FileHandle, size: number): ByteSource {
  const blocks = new Map<number, Promise<Buffer>>();
  const block = (index: number): Promise<Buffer> => {
    const kept = blocks.get(index);
    if (kept) return kept;
    const reading = handle.read(Buffer.alloc(BLOCK_BYTES), 0, BLOCK_BYTES, index * BLOCK_BYTES).then(({ buffer, bytesRead }) => buffer.subarray(0, bytesRead));
    blocks.set(index, reading);
    if (blocks.size > KEPT_BLOCKS) blocks.delete(blocks.keys().next().value as number);
    return reading;
  };
  return {
    size,
    async read(at, length) {
      const to = Math.min(size, at + length);
      if (!(at >= 0 && at < to)) return Buffer.alloc(0);
      const parts: Buffer[] = [];
      for (let index = Math.floor(at / BLOCK_BYTES); index * BLOCK_BYTES < to; index++) {
        const from = index * BLOCK_BYTES;
        parts.push((await block(index)).subarray(Math.max(0, at - from), to - from));
      }
      return parts.length === 1 ? parts[0] : Buffer.concat(parts);
    },
  };
}

/** A part as if it were a file of its own. */
export function partOf(whole: ByteSource, from: number, length: number): ByteSource {
  const size = Math.max(0, Math.min(length, whole.size - from));
  return { size, read: (at, count) => (at >= 0 && at < size ? whole.read(from + at, Math.min(count, size - at)) : Promise.resolve(Buffer.alloc(0))) };
}
