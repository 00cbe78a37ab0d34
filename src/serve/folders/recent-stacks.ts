import { readFile } from 'node:fs/promises';
import path from 'node:path';
import * as z from 'zod/mini';
import type { RecentStack } from '../../contract/host.js';
import { writeWholeFile } from './write-whole-file.js';

const KEPT = 12;
const schema = z.array(z.object({ folder: z.string(), name: z.string(), openedAt: z.string() }));

/** The folders opened last, newest first, kept in the settings folder. A broken list counts as an empty one: it is a convenience. */
export class RecentStacks {
  private readonly file: string;
  constructor(settingsFolder: string) { this.file = path.join(settingsFolder, 'recent-stacks.json'); }

  async list(): Promise<RecentStack[]> {
    try {
      return schema.parse(JSON.parse(await readFile(this.file, 'utf8')));
    } catch {
      return [];
    }
  }

  async remember(folder: string): Promise<void> {
    const others = (await this.list()).filter((stack) => stack.folder !== folder);
    await this.write([{ folder, name: path.basename(folder), openedAt: new Date().toISOString() }, ...others].slice(0, KEPT));
  }

  async forget(folder: string): Promise<RecentStack[]> {
    const left = (await this.list()).filter((stack) => stack.folder !== folder);
    await this.write(left);
    return left;
  }

  /** A settings folder that can't be written must not stand between a photographer and the verdict. */
  private async write(stacks: RecentStack[]): Promise<void> {
    await writeWholeFile(this.file, JSON.stringify(stacks, null, 1)).catch(() => undefined);
  }
}
