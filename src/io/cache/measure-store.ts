import { randomBytes } from 'node:crypto';
import { mkdir, readdir, readFile, rename, stat, unlink, utimes, writeFile } from 'node:fs/promises';
import path from 'node:path';
import type { FrameMeasure } from '../../sharpness/measure-plan.js';
import { packMeasure, unpackMeasure } from './pack-measure.js';

const ENDING = '.measure';
const UNFINISHED = '.part';
/** What another process is writing is younger than this; what is older was left by one that was killed. */
const ABANDONED_MS = 600_000;
/** Making room goes down to this share of the limit, so that not every run has to. */
const KEPT_SHARE = 0.9;

/**
 * Measurements in files, one each, named by their key. Any number of processes may share the folder: entries are written aside and
 * renamed, so that each is whole or absent; a damaged one counts as absent. Nothing here ever throws: without a place to
 * keep things, nothing is kept.
 */
export class MeasureStore {
  private writable = true;
  private written = false;

  /** @param folder made when it is first written to; @param limitBytes most that is kept */
  constructor(private readonly folder: string, private readonly limitBytes: number) {}

  /** @param key hexadecimal; @returns null where there is none, or it can't be used */
  async get(key: string): Promise<FrameMeasure | null> {
    const file = this.fileOf(key);
    const bytes = await readFile(file).catch(() => null);
    const measure = bytes === null ? null : unpackMeasure(key, bytes);
    if (measure !== null) {
      const now = new Date();
      // Least recently used goes first: the time tells. Where it can't be set, the entry only goes sooner.
      await utimes(file, now, now).catch(() => undefined);
    }
    return measure;
  }

  async put(key: string, measure: FrameMeasure): Promise<void> {
    if (!this.writable) return;
    const file = this.fileOf(key), aside = `${file}.${process.pid}-${randomBytes(4).toString('hex')}${UNFINISHED}`;
    try {
      // Pictures may be private, and so is what was measured on them.
      await mkdir(this.folder, { recursive: true, mode: 0o700 });
      await writeFile(aside, packMeasure(key, measure), { flag: 'wx', mode: 0o600 });
      await rename(aside, file);
      this.written = true;
    } catch {
      // Full, read-only or gone: trying again for every frame would only cost time.
      this.writable = false;
      await unlink(aside).catch(() => undefined);
    }
  }

  /** Makes room, oldest first, where something was written and the limit is passed; clears what killed processes left. */
  async trim(): Promise<void> {
    if (!this.written) return;
    this.written = false;
    const entries = await this.entries();
    const now = Date.now();
    let bytes = entries.reduce((sum, entry) => sum + entry.bytes, 0);
    for (const entry of entries.filter(({ file, usedMs }) => file.endsWith(UNFINISHED) && Math.abs(now - usedMs) > ABANDONED_MS)) bytes -= await removed(entry);
    if (bytes <= this.limitBytes) return;
    for (const entry of entries.filter(({ file }) => file.endsWith(ENDING)).sort((a, b) => a.usedMs - b.usedMs)) {
      if (bytes <= this.limitBytes * KEPT_SHARE) return;
      bytes -= await removed(entry);
    }
  }

  private async entries(): Promise<Entry[]> {
    const names = await readdir(this.folder).catch((): string[] => []);
    const ours = names.filter((name) => name.endsWith(ENDING) || name.endsWith(UNFINISHED)).map((name) => path.join(this.folder, name));
    const found = await Promise.all(ours.map(async (file) => ({ file, found: await stat(file).catch(() => null) })));
    return found.flatMap((one) => (one.found === null ? [] : [{ file: one.file, bytes: one.found.size, usedMs: one.found.mtimeMs }]));
  }

  private fileOf(key: string): string { return path.join(this.folder, `${key}${ENDING}`); }
}

interface Entry { file: string; bytes: number; usedMs: number }

/** Bytes that are free now; another process may have been quicker, or hold the file open. */
const removed = (entry: Entry): Promise<number> => unlink(entry.file).then(() => entry.bytes, () => 0);
