import { randomBytes } from 'node:crypto';
import path from 'node:path';
import { UserError } from '../../contract/errors.js';
import type { StackInfo } from '../../contract/host.js';
import type { Report } from '../../contract/report.js';
import { fileStamp } from '../analysis/folder-stamp.js';
import { FramePictures } from '../pictures/frame-pictures.js';
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

const KEPT_STACKS = 4;

/** Opened stacks by opaque id; the least recently used are closed so that a long evening doesn't fill the memory. */
export class StackRegistry {
  private readonly stacks = new Map<string, OpenStack>();
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
      return { file: f.file, path: whole, rows: f.rows, columns: f.columns, stamp: await fileStamp(whole) };
    }));
    const stack: OpenStack = { info, analysis, pictures: new FramePictures(files), report: null, revision: 0 };
    this.stacks.set(info.stackId, stack);
    while (this.stacks.size > KEPT_STACKS) await this.close(this.stacks.keys().next().value as string);
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

  private async close(stackId: string): Promise<void> {
    const stack = this.stacks.get(stackId);
    this.stacks.delete(stackId);
    stack?.pictures.clear();
    await stack?.analysis.close();
  }

  async closeAll(): Promise<void> {
    await Promise.all([...this.stacks.keys()].map((id) => this.close(id)));
  }
}
