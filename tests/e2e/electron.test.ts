import { existsSync, readFileSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { _electron } from 'playwright-core';
import { expect, it } from 'vitest';
import { verdictOf } from './window-page.js';

/** Electron's program comes with its package only where installing may run scripts. */
function electronProgram(): string | null {
  const folder = path.resolve('node_modules/electron'), named = path.join(folder, 'path.txt');
  if (!existsSync(named)) return null;
  const program = path.join(folder, 'dist', readFileSync(named, 'utf8').trim());
  return existsSync(program) ? program : null;
}

const program = electronProgram();
/** Reported as skipped, with the reason in its name, where the program is not there. */
it.skipIf(program === null)(`Electron opens the sample stack${program === null ? ' (skipped: Electron’s program is not installed here)' : ''}`, async () => {
  const settings = await mkdtemp(path.join(tmpdir(), 'rungwise-electron-'));
  const app = await _electron.launch({
    executablePath: program!, args: ['dist/electron/main.js', 'sample-frames/quartz-druse', '--rig', 'sample-frames/quartz-druse.rig.json'],
    env: { ...process.env as Record<string, string>, RUNGWISE_SETTINGS: settings },
  });
  try {
    const page = await app.firstWindow();
    await expect.poll(() => verdictOf(page).textContent(), { timeout: 110_000 }).toMatch(/two frames are missing.*01111.*01112/i);
    expect(await page.evaluate('typeof process + typeof require')).toBe('undefinedundefined');
    expect(await page.evaluate("window.open('https://example.org') === null")).toBe(true);
    await expect(page.evaluate("fetch('https://example.org')")).rejects.toThrow();
    expect(page.url()).toMatch(/^rungwise:\/\/window\//);
  } finally {
    await app.close();
    await rm(settings, { recursive: true, force: true });
  }
});
