import { spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';

/** The program as somebody starts it, serving the window with the sample stack's rig card, with settings of its own. @param folder the stack it opens; left out: none */
export async function servedProgram(...folder: string[]): Promise<{ address: string; close(): Promise<void> }> {
  const settings = await mkdtemp(path.join(tmpdir(), 'rungwise-settings-'));
  const program = spawn(process.execPath, ['bin/rungwise.js', 'serve', ...folder, '--rig', 'sample-frames/quartz-druse.rig.json'], { env: { ...process.env, RUNGWISE_SETTINGS: settings } });
  const address = await new Promise<string>((resolve, reject) => {
    let said = '';
    program.stdout.on('data', (part: Buffer) => { said += part.toString(); const found = /http:\/\/127\.0\.0\.1:\d+\/\?token=\S+/.exec(said); if (found) resolve(found[0]); });
    program.stderr.on('data', (part: Buffer) => reject(new Error(part.toString())));
  });
  return { address, close: async () => { program.kill('SIGINT'); await rm(settings, { recursive: true, force: true }); } };
}
