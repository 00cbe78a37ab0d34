import path from 'node:path';
import { CancelledError, UserError } from '../contract/errors.js';
import type { FrameSource, SourceFrame } from '../pipeline/frame-source.js';
import { countOnce } from './count-once.js';
import { FolderSource, type FrameThreads } from './folder-source.js';
import { inTime, TookTooLongError } from './in-time.js';
import { listFrameFiles } from './list-frame-files.js';
import { readHeader, unreadable, type FrameHeader } from './read-header.js';
import { compareFrames } from './sort-frames.js';

/** Headers read at a time: enough to hide a slow drive's waits. */
const HEADERS_AT_ONCE = 8;
/** A header is a few kilobytes; a drive that does not give them in this time gives nothing. */
const PATIENCE_MS = 120_000;
/** After so many that came to no end the rest is not waited for: a thousand frames would take a day. */
const MOST_SILENT = 2;
const NO_ANSWER = 'its drive does not answer', UNTRIED = 'it was not tried, since its drive did not answer for others: check the drive, then check the stack again';

/** What is kept of a folder that is opened again and again. */
export interface KeptOfFolder {
  /** Reads a header, or knows it. */
  header(file: string): Promise<FrameHeader>;
  /** Threads that read frames of up to so many pixels; null: own ones, which end with the measuring. */
  threads(pixels: number): FrameThreads | null;
}

/**
 * Opens a folder as a stack: lists its frames in file order with their sizes and what the camera wrote.
 * Frames that can't be read stay in the list, with the reason, so that none is dropped silently.
 * @param patienceMs how long a drive may take for the list or for one header
 * @throws UserError where the folder is missing, is no folder, does not answer, or holds no frame that can be read; CancelledError when the signal fires
 */
export async function openFolder(folder: string, signal?: AbortSignal, patienceMs = PATIENCE_MS, kept: KeptOfFolder = NOTHING_KEPT): Promise<FrameSource> {
  const whole = path.resolve(folder);
  const files = await inTime(listFrameFiles(whole), patienceMs).catch((error: unknown) => { throw error instanceof TookTooLongError ? noAnswer(whole) : error; });
  const frames: SourceFrame[] = [];
  let next = 0, silent = 0;
  const header = async (file: string): Promise<FrameHeader> => {
    if (silent >= MOST_SILENT) return unreadable(UNTRIED);
    try {
      return await inTime(kept.header(path.join(whole, file)), patienceMs);
    } catch {
      silent++;
      return unreadable(NO_ANSWER);
    }
  };
  const readAll = async (): Promise<void> => {
    for (let file = files[next++]; file !== undefined; file = files[next++]) {
      if (signal?.aborted) throw new CancelledError();
      frames.push({ file, ...await header(file) });
    }
  };
  await Promise.all(Array.from({ length: HEADERS_AT_ONCE }, readAll));
  const counted = countOnce(frames);
  counted.sort((a, b) => compareFrames(named(a), named(b)));
  if (counted.every((frame) => frame.problem !== null)) throw noneReadable(whole, counted);
  return new FolderSource(whole, counted, kept.threads(Math.max(...counted.map((frame) => frame.rows * frame.columns))) ?? undefined);
}

const NOTHING_KEPT: KeptOfFolder = { header: readHeader, threads: () => null };

const named = (frame: SourceFrame): { file: string; captureTimeMs: number | null } => ({ file: frame.file, captureTimeMs: frame.facts.captureTimeMs });

function noAnswer(folder: string): UserError {
  return new UserError(`The folder ${folder} can't be read: its drive does not answer.`, 'Check that the drive is connected and awake, or copy the frames to this machine.');
}

function noneReadable(folder: string, frames: readonly SourceFrame[]): UserError {
  const shown = frames.slice(0, 3).map((frame) => `${frame.file}: ${frame.problem}`).join('; ');
  const more = frames.length > 3 ? `; and ${frames.length - 3} more` : '';
  return new UserError(`No frame in ${folder} can be read (${shown}${more}).`, 'Copy the frames from the card again, or export them all alike as JPEG or TIFF.');
}
