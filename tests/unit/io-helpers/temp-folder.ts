import { mkdtempSync, realpathSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll } from 'vitest';

/** A folder of its own for one test file, removed when its tests are done. */
export function tempFolder(): string {
  const folder = realpathSync(mkdtempSync(path.join(tmpdir(), 'rungwise-test-')));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}
