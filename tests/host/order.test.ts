import { chmod, mkdir, mkdtemp, readFile, readdir, rm, stat, symlink, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { CancelledError, UserError } from '../../src/contract/errors.js';
import type { Report } from '../../src/contract/report.js';
import { ORDER_LIST, orderCopy } from '../../src/io/order-copy.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

let parent: string;
let source: string;
let target: string;
let report: Report;
const bytesOf = (file: string): string => `picture ${file} ${'x'.repeat(70_000)}`;
const sourceState = async () => Promise.all((await readdir(source)).sort().map(async (file) => [file, (await stat(path.join(source, file))).mtimeMs, (await readFile(path.join(source, file))).length]));

/** Eight frames whose file order is not their depth order: 5 0 7 2 … along the axis. */
beforeEach(async () => {
  parent = await mkdtemp(path.join(tmpdir(), 'rungwise-order-'));
  source = path.join(parent, 'stack');
  target = path.join(parent, 'ordered');
  await mkdir(source);
  report = fixtureReport({ frames: 8, stepDof: 0.6, dofUm: 25, folder: source, flags: { 2: ['blurred'], 6: ['repeat'] } });
  report.stack.order = [5, 0, 7, 2, 1, 6, 3, 4];
  for (const { file } of report.stack.frames) {
    await writeFile(path.join(source, file), bytesOf(file));
    await utimes(path.join(source, file), 1_700_000_000, 1_700_000_000);
  }
});
afterEach(async () => { await chmod(parent, 0o755); await rm(parent, { recursive: true, force: true }); });

describe('copies in depth order', () => {
  it('numbers them along the axis, byte for byte, with their times and a list; originals untouched', async () => {
    const before = await sourceState();
    const result = await orderCopy(report, target, { leaveOut: [] });
    const names = result.copied.map(({ file }) => file);
    expect(names).toEqual([106, 101, 108, 103, 102, 107, 104, 105].map((n, k) => `00${k + 1}-specimen-0${n}.jpg`));
    expect(result.leftOut).toEqual([]);
    expect((await readdir(target)).sort()).toEqual([...names, ORDER_LIST]);
    for (const [k, name] of names.entries()) {
      expect(await readFile(path.join(target, name), 'utf8')).toBe(bytesOf(report.stack.frames[report.stack.order[k]!]!.file));
      expect((await stat(path.join(target, name))).mtimeMs).toBe(1_700_000_000_000);
    }
    const list = (await readFile(path.join(target, ORDER_LIST), 'utf8')).trimEnd().split('\r\n');
    expect(list[1]).toMatch(/^1,001-specimen-0106\.jpg,specimen-0106\.jpg,/);
    expect(list.length).toBe(9);
    expect(await sourceState()).toEqual(before);
  });

  it('leaves out what is asked, and frames without a place, each with why', async () => {
    report.stack.order = report.stack.order.filter((index) => index !== 4);
    report.stack.frames[4]!.flags = ['unreadable'];
    const result = await orderCopy(report, target, { leaveOut: ['blurred', 'repeat'] });
    expect(result.copied.length).toBe(5);
    expect(result.leftOut).toEqual([{ file: 'specimen-0103.jpg', why: 'blurred' }, { file: 'specimen-0105.jpg', why: 'unreadable' }, { file: 'specimen-0107.jpg', why: 'repeat' }]);
    expect(await readFile(path.join(target, ORDER_LIST), 'utf8')).toMatch(/,,specimen-0105\.jpg,,,,,unreadable\r\n/);
  });

  it('takes an empty folder that is there already', async () => {
    await mkdir(target);
    expect((await orderCopy(report, target, { leaveOut: [] })).copied.length).toBe(8);
  });
});

describe('targets that would lose something', () => {
  const refuses = async (to: string, words: RegExp): Promise<void> => {
    const before = await sourceState();
    const error = await orderCopy(report, to, { leaveOut: [] }).catch((caught: unknown) => caught);
    expect(error).toBeInstanceOf(UserError);
    expect((error as UserError).line).toMatch(words);
    expect(await sourceState()).toEqual(before);
  };
  it('refuses one that holds files, and leaves them', async () => {
    await mkdir(target);
    await writeFile(path.join(target, 'mine.txt'), 'mine');
    await refuses(target, /already holds files \(such as mine\.txt\)/);
    expect(await readdir(target)).toEqual(['mine.txt']);
  });
  it('refuses the stack’s folder and every place in it, also through a link', async () => {
    await refuses(source, /never written to/);
    await refuses(path.join(source, 'ordered'), /never written to/);
    await refuses(path.join(source, '..', 'stack', 'x'), /never written to/);
    await symlink(source, path.join(parent, 'link'));
    await refuses(path.join(parent, 'link', 'x'), /never written to/);
  });
  it('refuses a file, and a folder nobody made', async () => {
    await writeFile(target, 'a file');
    await refuses(target, /is a file/);
    await refuses(path.join(parent, 'no', 'such'), /There is no folder/);
  });
  it.skipIf(process.getuid?.() === 0)('refuses where it may not write', async () => {
    await chmod(parent, 0o555);
    await refuses(target, /may not be written/);
  });
});

describe('an interrupted or failing copy', () => {
  it('leaves nothing behind when stopped half-way', async () => {
    const controller = new AbortController();
    const copying = orderCopy(report, target, { leaveOut: [], signal: controller.signal, onCopied: (done) => { if (done === 3) controller.abort(); } });
    await expect(copying).rejects.toBeInstanceOf(CancelledError);
    expect(await readdir(parent)).toEqual(['stack']);
  });
  it('takes its copies away when a frame has vanished, but not the folder that was there', async () => {
    await mkdir(target);
    await orderCopy(report, target, { leaveOut: [], onCopied: () => undefined }).then(() => rm(target, { recursive: true }));
    await mkdir(target);
    const copying = orderCopy(report, target, { leaveOut: [], onCopied: (done) => { if (done === 2) void rm(path.join(source, report.stack.frames[4]!.file)); } });
    await expect(copying).rejects.toThrow(/no longer there/);
    expect(await readdir(target)).toEqual([]);
  });
  it('asks for another choice when no frame is left', async () => {
    report.stack.order = [];
    await expect(orderCopy(report, target, { leaveOut: [] })).rejects.toThrow(/No frame is left/);
    expect(await readdir(parent)).toEqual(['stack']);
  });
});
