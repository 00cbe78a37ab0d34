import { fork, spawnSync, type ChildProcess } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';

/** How a drive behaves: waits before each answer, and files it never answers for from a byte on (−1: not even for their size); '' stands for the list of files. */
export interface Manner { delayMs: number; silent: Readonly<Record<string, number>> }

export interface OddDrive {
  place: string;
  behave(manner: Manner): Promise<void>;
  /** The cable is pulled: nothing answers any more, and who waits is told so. */
  pull(): Promise<void>;
  remove(): Promise<void>;
}

const server = path.resolve('tests/host/odd-drive/drive-server.mjs');
const heard = (child: ChildProcess): Promise<boolean> => new Promise((resolve) => {
  child.once('message', () => resolve(true));
  child.once('exit', () => resolve(false));
});

/** Shows a folder as a drive of its own. @returns null where this machine does not let us: then tests say that they were skipped */
export async function oddDrive(folder: string): Promise<OddDrive | null> {
  if (process.platform !== 'linux' || !existsSync('/dev/fuse')) return null;
  const place = path.join(mkdtempSync(path.join(tmpdir(), 'rungwise-drive-')), 'stack');
  mkdirSync(place);
  const child = fork(server, [folder, place], { stdio: ['ignore', 'ignore', 'ignore', 'ipc'] });
  if (!await heard(child)) { rmSync(path.dirname(place), { recursive: true }); return null; }
  const pull = (): Promise<void> => new Promise((resolve) => {
    if (child.exitCode !== null || child.signalCode !== null) { resolve(); return; }
    child.once('exit', () => resolve());
    child.kill('SIGKILL');
  });
  return {
    place, pull,
    behave: async (manner) => { child.send(manner); await heard(child); },
    remove: async () => { await pull(); spawnSync('umount', ['-l', place]); rmSync(path.dirname(place), { recursive: true, force: true }); },
  };
}
