import { execFileSync, spawnSync } from 'node:child_process';
import { chmodSync, mkdirSync, mkdtempSync, readdirSync, rmSync, statfsSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { UserError } from '../../src/contract/errors.js';
import { MeasureStore } from '../../src/io/cache/measure-store.js';
import { orderCopy } from '../../src/io/order-copy.js';
import { writeFileSafely } from '../../src/io/write-file-safely.js';
import type { FrameMeasure } from '../../src/sharpness/measure-plan.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

// A real disk of 400 kB, made in memory. Mounting one needs Linux and its administrator; elsewhere these tests are shown as skipped.

const DISK_KB = 400;
function canMount(): boolean {
  const folder = mkdtempSync(path.join(tmpdir(), 'rungwise-mount-'));
  const mounted = process.platform === 'linux' && spawnSync('mount', ['-t', 'tmpfs', '-o', 'size=64k', 'tmpfs', folder], { stdio: 'ignore' }).status === 0;
  if (mounted) execFileSync('umount', [folder]);
  rmSync(folder, { recursive: true });
  return mounted;
}
const mountable = canMount();
const isRoot = process.getuid?.() === 0;

let parent: string;
let disk: string;
let source: string;
beforeEach(() => {
  parent = mkdtempSync(path.join(tmpdir(), 'rungwise-disk-'));
  [disk, source] = [path.join(parent, 'disk'), path.join(parent, 'stack')];
  mkdirSync(disk);
  mkdirSync(source);
  if (mountable) execFileSync('mount', ['-t', 'tmpfs', '-o', `size=${DISK_KB}k`, 'tmpfs', disk]);
});
afterEach(() => {
  if (mountable) execFileSync('umount', [disk]);
  rmSync(parent, { recursive: true, force: true });
});

/** Eight frames of so many bytes each. */
function stackOf(bytes: number) {
  const report = fixtureReport({ frames: 8, stepDof: 0.6, dofUm: 25, folder: source });
  for (const { file } of report.stack.frames) writeFileSync(path.join(source, file), Buffer.alloc(bytes, file));
  return report;
}
const freeBytes = (): number => { const { bavail, bsize } = statfsSync(disk); return Number(bavail) * Number(bsize); };
const lineOf = async (work: Promise<unknown>): Promise<string> => {
  const error = await work.catch((caught: unknown) => caught);
  expect(error).toBeInstanceOf(UserError);
  return (error as UserError).line;
};

describe.skipIf(!mountable)('a disk without room', () => {
  it('refuses to begin where the copies can’t fit', async () => {
    expect(await lineOf(orderCopy(stackOf(80_000), path.join(disk, 'ordered'), { leaveOut: [] }))).toMatch(/need 1 MB and the disk has 0 MB left; nothing was copied\. Make room/);
    expect(readdirSync(disk)).toEqual([]);
  });

  it('takes its copies away again where another program fills the disk meanwhile', async () => {
    const report = stackOf(40_000);
    const filler = path.join(disk, 'others.bin');
    const line = await lineOf(orderCopy(report, path.join(disk, 'ordered'), {
      leaveOut: [], onCopied: (done) => { if (done === 3) writeFileSync(filler, Buffer.alloc(freeBytes() - 8192)); },
    }));
    expect(line).toMatch(/disk is full; the copies made so far were taken away again\. Make room/);
    expect(readdirSync(disk)).toEqual(['others.bin']);
    expect(readdirSync(source)).toHaveLength(8);
  });

  it('keeps no measurement it has no room for, and leaves nothing of it', async () => {
    const store = new MeasureStore(path.join(disk, 'cache'), 1e9), codes = (length: number): Uint16Array => new Uint16Array(length).fill(7);
    const large = (cells: number): FrameMeasure => ({
      rows: 24, columns: 32, cellRows: 3, cellColumns: 4, energy: [codes(cells)], brightness: codes(cells), clipped: null, meanRoot: 1,
      registration: { rows: 3, columns: 4, pixels: new Int16Array(12) }, spectra: [{ sizePx: 16, row: new Float32Array(2), column: new Float32Array(2), bins: 4, power: new Float32Array(8) }],
    });
    await store.put('aa', large(100));
    await store.put('bb', large(DISK_KB * 1024));
    await store.trim();
    expect(readdirSync(path.join(disk, 'cache'))).toEqual(['aa.measure']);
    expect(await store.get('aa')).toEqual(large(100));
    expect(await store.get('bb')).toBeNull();
  });

  it('leaves the old report whole where the new one does not fit, and nothing beside it', async () => {
    const file = path.join(disk, 'report.json');
    await writeFileSafely(file, 'old', null);
    expect(await lineOf(writeFileSafely(file, 'x'.repeat(DISK_KB * 1024), null))).toMatch(/was not written: the disk is full\. Make room/);
    expect(readdirSync(disk)).toEqual(['report.json']);
    expect(execFileSync('cat', [file], { encoding: 'utf8' })).toBe('old');
  });
});

// The administrator may write everywhere, so the program is run as nobody.
describe.skipIf(!isRoot || process.platform !== 'linux')('a target that may not be written', () => {
  const NOBODY = 65_534;
  it.each([
    ['order', (): string[] => ['order', path.resolve('sample-frames/quartz-druse'), '--to', path.join(disk, 'ordered')]],
    ['check', (): string[] => ['check', path.resolve('sample-frames/quartz-druse'), '--json', path.join(disk, 'report.json')]],
  ])('is refused by %s in one line, and nothing is left', (_command, words) => {
    chmodSync(parent, 0o755);
    chmodSync(disk, 0o755);
    const { status, stdout, stderr } = spawnSync(process.execPath, [path.resolve('bin/rungwise.js'), ...words()], { uid: NOBODY, gid: NOBODY, encoding: 'utf8', env: { ...process.env, HOME: '/nonexistent', RUNGWISE_SETTINGS: path.join(parent, 'settings') } });
    expect([status, stdout]).toEqual([3, '']);
    expect(stderr).toMatch(/^rungwise: .*may not be written.*\. Name a folder you may write to.*\n$/);
    expect(readdirSync(disk)).toEqual([]);
  });
});
