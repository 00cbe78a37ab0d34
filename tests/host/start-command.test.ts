import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import path from 'node:path';
import { expect, it } from 'vitest';
import { tempFolder } from '../unit/io-helpers/temp-folder.js';

const settings = tempFolder();
/** Where Electron's program is installed, it is what opens; tests/e2e/electron.test.ts then opens it. */
const electronIsHere = existsSync(path.resolve('node_modules/electron/path.txt'));

it.skipIf(electronIsHere || process.platform === 'win32')('npm start prints the window’s address, lets who has it in, prints the sample’s verdict, and ends with Ctrl-C', async () => {
  const program = spawn('npm', ['start', '--silent'], { env: { ...process.env, RUNGWISE_SETTINGS: settings }, detached: true });
  let text = '';
  for (const stream of [program.stdout, program.stderr]) stream.on('data', (part) => { text += String(part); });
  const ended = new Promise((resolve) => program.on('close', resolve));
  try {
    // README: twenty frames, one missing band that matters.
    await expect.poll(() => text, { timeout: 120_000 }).toMatch(/two frames are missing[\s\S]*01111[\s\S]*01112/);
    const address = /http:\/\/127\.0\.0\.1:\d+\/\?token=\S+/.exec(text)?.[0] ?? '';
    expect((await fetch(address, { redirect: 'manual' })).status).toBe(303);
  } finally {
    // A terminal sends it to all that run in it.
    process.kill(-program.pid!, 'SIGINT');
  }
  await ended;
  await expect(fetch(/http:\/\/127\.0\.0\.1:\d+/.exec(text)?.[0] ?? '')).rejects.toThrow();
});
