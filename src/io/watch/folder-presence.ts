import { stat } from 'node:fs/promises';

/** Tells when a folder is taken away, and when it is back. It looks beside everything else: a drive that has fallen silent must hold nothing up. */
export class FolderPresence {
  private looking = false;
  private there = true;

  /** @param folder absolute path of a folder that is there now */
  constructor(private readonly folder: string, private readonly onChange: (there: boolean) => void) {}

  /** One look at a time: a drive may answer late or never. */
  look(): void {
    if (this.looking) return;
    this.looking = true;
    void stat(this.folder).then((found) => found.isDirectory(), () => false).then((there) => {
      this.looking = false;
      if (there === this.there) return;
      this.there = there;
      this.onChange(there);
    });
  }
}
