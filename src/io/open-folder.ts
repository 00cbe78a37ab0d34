import path from 'node:path';
import { CancelledError, UserError } from '../contract/errors.js';
import type { FrameSource, SourceFrame } from '../pipeline/frame-source.js';
import { countOnce } from './count-once.js';
import { FolderSource } from './folder-source.js';
import { listFrameFiles } from './list-frame-files.js';
import { readHeader } from './read-header.js';
import { compareFrames } from './sort-frames.js';

/** Headers read at a time: enough to hide a slow drive's waits. */
const HEADERS_AT_ONCE = 8;

/**
 * Opens a folder as a stack: lists its frames in file order with their sizes and what the camera wrote.
 * Frames that can't be read stay in the list, with the reason, so that none is dropped silently.
 * @throws UserError where the folder is missing, is no folder, or holds no frame that can be read; CancelledError when the signal fires
 */
export async function openFolder(folder: string, signal?: AbortSignal): Promise<FrameSource> {
  const whole = path.resolve(folder);
  const files = await listFrameFiles(whole);
  const frames: SourceFrame[] = [];
  let next = 0;
  const readAll = async (): Promise<void> => {
    for (let file = files[next++]; file !== undefined; file = files[next++]) {
      if (signal?.aborted) throw new CancelledError();
      frames.push({ file, ...await readHeader(path.join(whole, file)) });
    }
  };
  await Promise.all(Array.from({ length: HEADERS_AT_ONCE }, readAll));
  const counted = countOnce(frames);
  counted.sort((a, b) => compareFrames(named(a), named(b)));
  if (counted.every((frame) => frame.problem !== null)) throw noneReadable(whole, counted);
  return new FolderSource(whole, counted);
}

const named = (frame: SourceFrame): { file: string; captureTimeMs: number | null } => ({ file: frame.file, captureTimeMs: frame.facts.captureTimeMs });

function noneReadable(folder: string, frames: readonly SourceFrame[]): UserError {
  const shown = frames.slice(0, 3).map((frame) => `${frame.file}: ${frame.problem}`).join('; ');
  const more = frames.length > 3 ? `; and ${frames.length - 3} more` : '';
  return new UserError(`No frame in ${folder} can be read (${shown}${more}).`, 'Copy the frames from the card again, or export them all alike as JPEG or TIFF.');
}
