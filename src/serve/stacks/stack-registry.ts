import { randomBytes } from 'node:crypto';
import path from 'node:path';
import { UserError } from '../../contract/errors.js';
import type { StackInfo } from '../../contract/host.js';
import type { Report } from '../../contract/report.js';
import { sizeAndTime } from '../analysis/folder-stamp.js';
import { FramePictures, pictureRoom } from '../pictures/frame-pictures.js';
import type { Analysis, OpenAnalysis } from '../analysis-port.js';

/** What is kept of an opened stack. Frames are known to the window by opaque ids alone. */
export interface OpenStack {
  info: StackInfo;
  analysis: Analysis;
  pictures: FramePictures;
  report: Report | null;
  /** Grows with each report, so that a picture put together from an older one is not shown. */
  revision: number;
}

/** Measurements of a folder weigh tens of megabytes, a report a few. Windows of one folder share its measurements. */
const MOST_FOLDERS = 4, MOST_STACKS = 24;

/**
 * Opened stacks by opaque id. Those not used for longest are closed so that a long evening doesn't fill the memory; never one that somebody
 * waits on, nor one for the sake of another window of the same folder.
 */
export class StackRegistry {
  /** The one used last stands last. */
  private readonly stacks = new Map<string, OpenStack>();
  private readonly waitedOn = new Map<OpenStack, number>();
  private readonly pictures = pictureRoom();
  constructor(private readonly openAnalysis: OpenAnalysis) {}

  async open(folder: string): Promise<OpenStack> {
    const analysis = await this.openAnalysis(path.resolve(folder));
    const ids = analysis.frames.map(() => randomBytes(9).toString('base64url'));
    const readable = analysis.frames.find((f) => f.problem === null && f.rows > 0);
    const info: StackInfo = {
      stackId: randomBytes(9).toString('base64url'),
      folder: analysis.folder, name: path.basename(analysis.folder),
      width: readable?.columns ?? 0, height: readable?.rows ?? 0, cameraModel: analysis.cameraModel,
      frames: analysis.frames.map((f, i) => ({ frameId: ids[i], file: f.file, width: f.columns, height: f.rows, problem: f.problem })),
    };
    const files = await Promise.all(analysis.frames.map(async (f) => {
      const whole = path.join(analysis.folder, f.file);
      return { file: f.file, path: whole, rows: f.rows, columns: f.columns, stamp: await sizeAndTime(whole) };
    }));
    const stack: OpenStack = { info, analysis, pictures: new FramePictures(files, this.pictures), report: null, revision: 0 };
    this.stacks.set(info.stackId, stack);
    await this.closeIdle();
    return stack;
  }

  /** @throws UserError where the id is unknown or its stack was closed. */
  get(stackId: string): OpenStack {
    const stack = this.stacks.get(stackId);
    if (!stack) throw new UserError('This stack is no longer open.', 'Open its folder again.');
    this.stacks.delete(stackId);
    this.stacks.set(stackId, stack);
    return stack;
  }

  /** Keeps a stack open until the job is done. @throws UserError as get does, and what the job throws */
  async whileUsing<T>(stackId: string, job: (stack: OpenStack) => Promise<T>): Promise<T> {
    const stack = this.get(stackId);
    this.waitedOn.set(stack, (this.waitedOn.get(stack) ?? 0) + 1);
    try {
      return await job(stack);
    } finally {
      const left = this.waitedOn.get(stack)! - 1;
      if (left > 0) this.waitedOn.set(stack, left);
      else this.waitedOn.delete(stack);
    }
  }

  private async closeIdle(): Promise<void> {
    const folders = new Set<string>();
    const tooMany = [...this.stacks.values()].reverse().filter((stack, rank) => {
      folders.add(stack.info.folder);
      return rank >= MOST_STACKS || folders.size > MOST_FOLDERS && ![...folders].slice(0, MOST_FOLDERS).includes(stack.info.folder);
    });
    await Promise.all(tooMany.filter((stack) => !this.waitedOn.has(stack)).map((stack) => this.close(stack)));
  }

  private async close(stack: OpenStack): Promise<void> {
    this.stacks.delete(stack.info.stackId);
    await stack.analysis.close();
  }

  async closeAll(): Promise<void> {
    await Promise.all([...this.stacks.values()].map((stack) => this.close(stack)));
    this.pictures.cache.clear();
  }
}
