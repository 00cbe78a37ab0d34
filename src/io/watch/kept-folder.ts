import { stat } from 'node:fs/promises';
import type { FrameSource } from '../../pipeline/frame-source.js';
import { keptThread, type FrameThreads } from '../folder-source.js';
import { openFolder } from '../open-folder.js';
import { readHeader, type FrameHeader } from '../read-header.js';

/** A folder that is opened anew for every frame that comes: what was read of the others is known, and a thread stands ready. */
export class KeptFolder {
  private readonly headers = new Map<string, { stamp: string; header: FrameHeader }>();
  private thread: FrameThreads | null = null;

  /** @param folder absolute path */
  constructor(private readonly folder: string) {}

  /** @param singly a frame or two are to be read: by one thread, which is kept; else by as many as there are cores for */
  open(singly: boolean, signal: AbortSignal): Promise<FrameSource> {
    return openFolder(this.folder, signal, undefined, {
      header: (file) => this.header(file),
      threads: (pixels) => (singly ? this.thread ??= keptThread(pixels) : null),
    });
  }

  /** Ends the thread. */
  stop(): void { this.thread?.stop(new Error('the watch is over')); }

  private async header(file: string): Promise<FrameHeader> {
    const stamp = await stampOf(file), known = this.headers.get(file);
    if (known?.stamp === stamp) return known.header;
    const header = await readHeader(file);
    // One that can't be read may still be on its way.
    if (header.problem === null) this.headers.set(file, { stamp, header });
    return header;
  }
}

/** Changes when the file's content does. */
export async function stampOf(file: string): Promise<string> {
  const found = await stat(file).catch(() => null);
  return found === null ? 'gone' : `${found.size}:${found.mtimeMs}`;
}
