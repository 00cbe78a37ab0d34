import { execFileSync, spawnSync } from 'node:child_process';
import { chmodSync, mkdirSync, readdirSync, renameSync, rmSync, symlinkSync, utimesSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { crc32, deflateSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import type { Report } from '../../src/contract/report.js';
import { openFolder } from '../../src/io/open-folder.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import { noisePicture } from '../unit/io-helpers/picture.js';
import { tempFolder } from '../unit/io-helpers/temp-folder.js';
import { runCli } from './cli-process.js';

const root = tempFolder();
const make = (...names: string[]): string => { const folder = path.join(root, ...names); mkdirSync(folder, { recursive: true }); return folder; };
const frames = async (folder: string, count: number, columns = 320, rows = 240): Promise<void> => {
  const bytes = await Promise.all(Array.from({ length: Math.min(count, 4) }, (_, i) => noisePicture(columns, rows, i + 1).linear(0.3, 90).jpeg().toBuffer()));
  for (let i = 0; i < count; i++) writeFileSync(path.join(folder, `f${String(i).padStart(4, '0')}.jpg`), bytes[i % bytes.length]);
};
const check = async (folder: string): Promise<{ report: Report; ms: number }> => {
  const { stdout, stderr, status, ms } = await runCli(['check', folder, '--json', '-']);
  expect(stderr).toBe('');
  expect(status).toBe(2);
  return { report: JSON.parse(stdout) as Report, ms };
};
const flagged = (report: Report): string[] => report.stack.frames.filter((frame) => frame.flags.includes('unreadable')).map((frame) => frame.file);

/** A PNG (third edition, 11.2) of nothing but zeros, as large as it says, in a few thousand bytes a billion pixels. */
function bomb(columns: number, rows: number): Buffer {
  const chunk = (type: string, content: Buffer): Buffer => {
    const head = Buffer.alloc(8), sum = Buffer.alloc(4);
    head.writeUInt32BE(content.length);
    head.write(type, 4, 'latin1');
    sum.writeUInt32BE(crc32(Buffer.concat([head.subarray(4), content])));
    return Buffer.concat([head, content, sum]);
  };
  const header = Buffer.alloc(13);
  header.writeUInt32BE(columns);
  header.writeUInt32BE(rows, 4);
  header.set([1, 0], 8);
  return Buffer.concat([Buffer.from([137, 80, 78, 71, 13, 10, 26, 10]), chunk('IHDR', header), chunk('IDAT', deflateSync(Buffer.alloc((columns / 8 + 1) * rows), { level: 9 })), chunk('IEND', Buffer.alloc(0))]);
}

describe('folders that are hard to read', () => {
  it('files that swell when decoded are named by their size and cost no memory', async () => {
    const folder = make('bombs');
    await frames(folder, 3);
    writeFileSync(path.join(folder, 'x1.png'), bomb(40_000, 20_000));
    writeFileSync(path.join(folder, 'x2.png'), bomb(24_000, 9_000));
    const before = process.memoryUsage().rss, source = await openFolder(folder);
    expect(source.frames[3].problem).toMatch(/more pixels than can be read/);
    expect(source.frames[4].problem === null ? source.frames[4].columns : 0).toBe(24_000);
    expect(process.memoryUsage().rss - before).toBeLessThan(200e6);
    const { report } = await check(folder);
    expect(report.stack.frames[3].flags).toEqual(['unreadable']);
    // Readable, but not of this stack: not decoded at all.
    expect(report.stack.frames[4].flags).toEqual(['other-size']);
  });

  it('pipes, links, folders and locked files among frames are named or passed over, and nothing waits', async () => {
    const folder = make('odd');
    await frames(folder, 4);
    const at = (name: string): string => path.join(folder, name);
    execFileSync('mkfifo', [at('g0.jpg'), at('g1.nef')]);
    symlinkSync('/dev/zero', at('g2.jpg'));
    symlinkSync('nowhere', at('g3.jpg'));
    symlinkSync('g4.jpg', at('g4.jpg'));
    mkdirSync(at('g5.jpg'));
    writeFileSync(at('g6.jpg'), '');
    symlinkSync('f0000.jpg', at('g7.jpg'));
    await frames(folder, 1);
    const { report, ms } = await check(folder);
    expect(flagged(report)).toEqual(['g0.jpg', 'g1.nef', 'g2.jpg', 'g3.jpg', 'g4.jpg', 'g6.jpg']);
    expect(report.stack.frames.map((frame) => frame.file)).not.toContain('g5.jpg');
    expect(report.stack.order).toHaveLength(5);
    expect(ms).toBeLessThan(60_000);
  });

  it.skipIf(process.platform === 'win32')('a file that may not be read is named', async () => {
    const folder = make('locked');
    await frames(folder, 4);
    chmodSync(root, 0o755);
    chmodSync(path.join(folder, 'f0001.jpg'), 0);
    // Root may read everything: the program is then run as nobody.
    const someone = process.getuid?.() === 0 ? { uid: 65_534, gid: 65_534 } : {};
    const { stdout, stderr } = spawnSync(process.execPath, [path.resolve('bin/rungwise.js'), 'check', folder, '--json', '-'], { ...someone, encoding: 'utf8' });
    expect(stderr).toBe('');
    const report = JSON.parse(stdout) as Report;
    expect(flagged(report)).toEqual(['f0001.jpg']);
    expect(JSON.stringify(report.findings)).toContain('no permission');
  });

  it('a thousand frames are all there', async () => {
    const folder = make('thousand');
    await frames(folder, 1000, 64, 48);
    const { report } = await check(folder);
    expect(report.stack.frames).toHaveLength(1000);
    expect(report.timing.frames).toBe(1000);
    expect(flagged(report)).toEqual([]);
  });

  it('paths as long as the system allows, with names of all sorts', async () => {
    const folder = make('with space', 'ümläut', '水晶 [2026] {a,b} $x #1 %20', ...Array.from({ length: 12 }, (_, i) => `${i % 10}`.repeat(200)));
    const names = ['a[1].jpg', 'a[page=1].jpg', '-a.jpg', 'ä.jpg', "it's.jpg", 'a;b&c.jpg', `${'n'.repeat(240)}.jpg`];
    for (const [i, name] of names.entries()) await noisePicture(320, 240, i + 1).linear(0.3, 90).jpeg().toFile(path.join(root, 'one.jpg')).then(() => renameSync(path.join(root, 'one.jpg'), path.join(folder, name)));
    expect(folder.length).toBeGreaterThan(2_000);
    const { report } = await check(folder);
    expect(report.stack.frames.map((frame) => frame.file).sort()).toEqual(names.slice().sort());
    expect(flagged(report)).toEqual([]);
  });

  it('clocks that jump: file times in 1970 and in 2100 change nothing', async () => {
    const folder = make('clock');
    await frames(folder, 4);
    const { report: before } = await check(folder);
    for (const [i, name] of readdirSync(folder).entries()) utimesSync(path.join(folder, name), i % 2 ? 0 : 4_102_444_800, i % 2 ? 0 : 4_102_444_800);
    const { report: after } = await check(folder);
    expect({ ...after, timing: null }).toEqual({ ...before, timing: null });
  });

  it('a folder that vanishes while it is read: every frame is named, in words', async () => {
    const folder = make('vanishing');
    await frames(folder, 6);
    const source = await openFolder(folder), reasons: string[] = [];
    rmSync(folder, { recursive: true });
    await source.measure([0, 1, 2, 3, 4, 5], planMeasurement(240, 320, 0.42), () => expect.unreachable(), (_, reason) => reasons.push(reason));
    expect(reasons).toEqual(new Array(6).fill('it has gone since the folder was listed, or is a link to nothing'));
    const { status, stderr } = await runCli(['check', folder]);
    expect(status).toBe(3);
    expect(stderr).toMatch(/There is no folder/);
  });

  it('a frame replaced by another picture, or by a pipe, while the others are read is named', async () => {
    const folder = make('replaced');
    await frames(folder, 4);
    const source = await openFolder(folder), reasons = new Map<number, string>();
    await noisePicture(200, 100).jpeg().toFile(path.join(folder, 'f0001.jpg'));
    rmSync(path.join(folder, 'f0002.jpg'));
    execFileSync('mkfifo', [path.join(folder, 'f0002.jpg')]);
    const measured: number[] = [];
    await source.measure([0, 1, 2, 3], planMeasurement(240, 320, 0.42), (i) => measured.push(i), (i, reason) => reasons.set(i, reason));
    expect(measured.sort()).toEqual([0, 3]);
    expect(reasons.get(1)).toMatch(/replaced by another picture/);
    expect(reasons.get(2)).toMatch(/not an ordinary file/);
  });
});
