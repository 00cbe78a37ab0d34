import path from 'node:path';
import { watch } from 'chokidar';
import { UserError } from '../../contract/errors.js';
import { isFrameName } from '../frame-formats.js';

export interface ArrivingFilesOptions {
  /** Look again and again instead of waiting for the system's word: for network drives. */
  polling: boolean;
  /** A file that has not grown for this long is taken as written. */
  settledMs: number;
}

export type FileNews = { kind: 'written' | 'gone'; file: string };

/**
 * Tells of pictures that appear, change or vanish in a folder, once each has stopped growing. Subfolders and hidden files are left alone.
 * A file that only paused while being written is told of again when it grows.
 *
 * @param onNews names relative to the folder; the files there at the start are told of first
 * @returns stops the watching
 * @throws UserError where the system can't watch the folder
 */
export async function arrivingFiles(folder: string, options: ArrivingFilesOptions, onNews: (news: FileNews) => void): Promise<() => Promise<void>> {
  const watcher = watch(folder, {
    depth: 0,
    usePolling: options.polling,
    interval: 200,
    binaryInterval: 200,
    ignored: (name, stats) => stats?.isFile() === true && !isFrameName(path.basename(name)),
    awaitWriteFinish: { stabilityThreshold: options.settledMs, pollInterval: Math.max(20, Math.min(100, options.settledMs / 3)) },
  });
  const tell = (kind: FileNews['kind']) => (name: string): void => {
    if (isFrameName(path.basename(name))) onNews({ kind, file: path.basename(name) });
  };
  watcher.on('add', tell('written')).on('change', tell('written')).on('unlink', tell('gone'));
  await new Promise<void>((resolve, reject) => {
    watcher.once('ready', resolve);
    watcher.once('error', (error) => {
      void watcher.close();
      reject(new UserError(`The folder ${folder} can't be watched (${(error as NodeJS.ErrnoException).code ?? 'unknown reason'}).`, 'Try again with --polling.'));
    });
  });
  // Later troubles, such as a folder that is taken away, show in the frames that vanish.
  watcher.on('error', () => undefined);
  return () => watcher.close();
}
