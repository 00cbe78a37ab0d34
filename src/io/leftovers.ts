import { rmdirSync, unlinkSync } from 'node:fs';

const open = new Set<Leftovers>();
let listening = false;

/**
 * Files and folders of a job that must vanish unless the job is done, also when the process ends abruptly (a second Ctrl-C).
 */
export class Leftovers {
  private readonly files: string[] = [];
  private readonly folders: string[] = [];

  constructor() {
    open.add(this);
    if (listening) return;
    listening = true;
    process.on('exit', () => { for (const left of open) left.remove(); });
  }

  addFile(file: string): void { this.files.push(file); }
  /** Removed only if empty by then. */
  addFolder(folder: string): void { this.folders.push(folder); }

  /** The job is done: what it made stays. */
  keep(): void { open.delete(this); }

  /** The job failed: what it made goes. Synchronous, because a process that ends waits for nothing. */
  remove(): void {
    open.delete(this);
    for (const file of this.files) {
      try { unlinkSync(file); } catch { /* never made, or gone already */ }
    }
    for (const folder of this.folders.reverse()) {
      try { rmdirSync(folder); } catch { /* holds something that is not ours */ }
    }
  }
}
