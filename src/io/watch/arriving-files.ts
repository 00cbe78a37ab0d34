import type { Stats } from 'node:fs';
import { readdir } from 'node:fs/promises';
import path from 'node:path';
import { watch, type FSWatcher } from 'chokidar';
import { UserError } from '../../contract/errors.js';
import { isFrameName } from '../frame-formats.js';

export interface ArrivingFilesOptions {
  /** Look again and again instead of waiting for the system's word: for network drives. */
  polling: boolean;
  /** A file that has not grown for this long is taken as written. */
  settledMs: number;
}

export type FileNews = { kind: 'written' | 'gone'; file: string };

/** How often the folder is read beside the system's word. */
const SECOND_LOOK_MS = 1500;

/**
 * Tells of pictures that appear, change or vanish in a folder, once each has stopped growing. Subfolders and hidden files are left alone.
 * A file that only paused while being written is told of again when it grows. Where the folder holds a picture of which no word came
 * (network drives send none), it goes over to polling by itself.
 *
 * @param onNews names relative to the folder; the files there at the start are told of first
 * @returns stops the watching
 * @throws UserError where the system can't watch the folder
 */
export async function arrivingFiles(folder: string, options: ArrivingFilesOptions, onNews: (news: FileNews) => void): Promise<() => Promise<void>> {
  /** Size and time of each picture told of, so that a second watcher does not tell of it again. */
  const told = new Map<string, string>();
  const written = (name: string, stats?: Stats): void => {
    const file = path.basename(name), stamp = stats === undefined ? null : `${stats.size}:${stats.mtimeMs}`;
    if (!isFrameName(file) || (stamp !== null && told.get(file) === stamp)) return;
    told.set(file, stamp ?? '');
    onNews({ kind: 'written', file });
  };
  const gone = (name: string): void => {
    const file = path.basename(name);
    if (told.delete(file) || isFrameName(file)) onNews({ kind: 'gone', file });
  };
  const open = async (polling: boolean): Promise<FSWatcher> => {
    const watcher = openWatcher(folder, { ...options, polling });
    watcher.on('add', written).on('change', written).on('unlink', gone);
    await ready(watcher, folder);
    return watcher;
  };

  let watcher = await open(options.polling), closed = false;
  let missed: string[] = [];
  const lookAgain = async (): Promise<void> => {
    const known = namesOf(watcher), there = (await readdir(folder).catch(() => [])).filter(isFrameName);
    const unknown = there.filter((file) => !known.has(file));
    // A picture that has only just come gets until the next look.
    const silent = unknown.some((file) => missed.includes(file));
    missed = unknown;
    if (!silent || closed) return;
    clearInterval(timer);
    await watcher.close();
    watcher = await open(true);
    if (closed) { await watcher.close(); return; }
    const left = namesOf(watcher);
    for (const file of [...told.keys()]) if (!left.has(file)) gone(file);
  };
  const timer = setInterval(() => { void lookAgain().catch(() => undefined); }, SECOND_LOOK_MS);
  if (options.polling) clearInterval(timer);
  return async () => {
    closed = true;
    clearInterval(timer);
    await watcher.close();
  };
}

function openWatcher(folder: string, options: ArrivingFilesOptions): FSWatcher {
  return watch(folder, {
    depth: 0,
    usePolling: options.polling,
    interval: 200,
    binaryInterval: 200,
    alwaysStat: true,
    ignored: (name, stats) => stats?.isFile() === true && !isFrameName(path.basename(name)),
    awaitWriteFinish: { stabilityThreshold: options.settledMs, pollInterval: Math.max(20, Math.min(100, options.settledMs / 3)) },
  });
}

async function ready(watcher: FSWatcher, folder: string): Promise<void> {
  await new Promise<void>((resolve, reject) => {
    watcher.once('ready', resolve);
    watcher.once('error', (error) => {
      void watcher.close();
      reject(new UserError(`The folder ${folder} can't be watched (${(error as NodeJS.ErrnoException).code ?? 'unknown reason'}).`, 'Try again with --polling.'));
    });
  });
  // Later troubles, such as a folder that is taken away, show in the frames that vanish.
  watcher.on('error', () => undefined);
}

const namesOf = (watcher: FSWatcher): Set<string> => new Set(Object.values(watcher.getWatched()).flat());
