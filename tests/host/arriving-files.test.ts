import { EventEmitter } from 'node:events';
import fs from 'node:fs';
import { mkdtemp, rm, unlink, writeFile, appendFile } from 'node:fs/promises';
import { syncBuiltinESMExports } from 'node:module';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { arrivingFiles, type FileNews } from '../../src/io/watch/arriving-files.js';

let folder: string;
let stop: () => Promise<void> = async () => undefined;
const realWatch = fs.watch;
beforeEach(async () => { folder = await mkdtemp(path.join(tmpdir(), 'rungwise-arriving-')); });
afterEach(async () => {
  await stop();
  fs.watch = realWatch;
  syncBuiltinESMExports();
  await rm(folder, { recursive: true, force: true });
});

const news: FileNews[] = [];
const begin = async (polling: boolean): Promise<void> => {
  news.length = 0;
  stop = await arrivingFiles(folder, { polling, settledMs: 150 }, (each) => news.push(each));
};
const until = async (count: number): Promise<void> => { for (let i = 0; i < 200 && news.length < count; i++) await wait(50); };
const put = (name: string, text = 'x'): Promise<void> => writeFile(path.join(folder, name), text);

/** A drive that takes the request to watch and never says a word, as network drives do. */
function silenceEvents(): void {
  fs.watch = (() => Object.assign(new EventEmitter(), { close() { /* nothing to close */ }, ref() { return this; }, unref() { return this; } })) as unknown as typeof fs.watch;
  syncBuiltinESMExports();
}

describe.each([['the system’s word', false, false], ['polling', true, false], ['a drive that sends no word', false, true]] as const)('files arriving, by %s', (_how, polling, silent) => {
  it('are told of once each, also those there before; changes and losses too; nothing else', async () => {
    await put('a.jpg');
    await put('notes.txt');
    if (silent) silenceEvents();
    await begin(polling);
    await until(1);
    await put('b.jpg');
    await put('.c.jpg.part');
    await until(2);
    // Anything told twice would come within the time a second look takes.
    await wait(2000);
    expect(news).toEqual([{ kind: 'written', file: 'a.jpg' }, { kind: 'written', file: 'b.jpg' }]);
    await appendFile(path.join(folder, 'b.jpg'), 'more');
    await until(3);
    await unlink(path.join(folder, 'a.jpg'));
    await until(4);
    expect(news.slice(2)).toEqual([{ kind: 'written', file: 'b.jpg' }, { kind: 'gone', file: 'a.jpg' }]);
  });
});
