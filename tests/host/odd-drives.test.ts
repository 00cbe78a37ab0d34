import { mkdirSync, readdirSync, statSync } from 'node:fs';
import path from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { CancelledError } from '../../src/contract/errors.js';
import type { Report } from '../../src/contract/report.js';
import { analyseFolder, threadsEnded } from '../../src/io/analyse-folder.js';
import { FolderSource } from '../../src/io/folder-source.js';
import { openFolder } from '../../src/io/open-folder.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import { noisePicture } from '../unit/io-helpers/picture.js';
import { tempFolder } from '../unit/io-helpers/temp-folder.js';
import { runCli } from './cli-process.js';
import { oddDrive, type OddDrive } from './odd-drive/odd-drive.js';

// A real drive that the tests slow down, silence and pull. Showing one needs Linux, /dev/fuse and the right to mount; elsewhere these tests are shown as skipped.

const root = tempFolder(), stack = path.join(root, 'stack');
mkdirSync(stack);
const FRAMES = 5, COLUMNS = 720, ROWS = 540;
const probe = await oddDrive(stack);
await probe?.remove();

/** Headers lie below this byte of each file, picture data above. */
const HEADER_BYTES = 140_000;

describe.skipIf(probe === null)('a drive', () => {
  let drive: OddDrive;
  const plan = planMeasurement(ROWS, COLUMNS, 0.42), all = Array.from({ length: FRAMES }, (_, i) => i);
  beforeAll(async () => {
    for (let i = 0; i < FRAMES; i++) await noisePicture(COLUMNS, ROWS, i + 1).linear(0.3, 90).jpeg({ quality: 97, progressive: i > 2 }).toFile(path.join(stack, `f${i}.jpg`));
    for (const name of readdirSync(stack)) expect(statSync(path.join(stack, name)).size).toBeGreaterThan(2 * HEADER_BYTES);
  });
  const plug = async (): Promise<void> => { drive = (await oddDrive(stack))!; };
  const pulled: OddDrive[] = [];
  afterEach(async () => { pulled.push(drive); await drive.remove(); });
  afterAll(() => { for (const one of pulled) expect(() => statSync(one.place)).toThrow(); });

  it('that is slow is waited for, and the answer is the same', async () => {
    await plug();
    const fast = await runCli(['check', stack, '--json', '-']);
    await drive.behave({ delayMs: 40, silent: {} });
    const began = performance.now(), slow = await runCli(['check', drive.place, '--json', '-']);
    expect(slow.stderr).toBe('');
    // Some thirty answers at least, eight at a time at most.
    expect(performance.now() - began).toBeGreaterThan(240);
    const untimed = ({ stdout }: { stdout: string }): object => { const report = JSON.parse(stdout) as Report; return { ...report, timing: null, stack: { ...report.stack, folder: '' } }; };
    expect(untimed(slow)).toEqual(untimed(fast));
  });

  it('that does not answer for a frame’s header: the frame is named, the others are opened', async () => {
    await plug();
    await drive.behave({ delayMs: 0, silent: { 'f2.jpg': -1 } });
    const { frames } = await openFolder(drive.place, undefined, 1_500);
    expect(frames.map(({ file, problem }) => [file, problem])).toEqual([0, 1, 2, 3, 4].map((i) => [`f${i}.jpg`, i === 2 ? 'its drive does not answer' : null]));
  });

  it('that does not answer for the list of its files: said in one line with what to do', async () => {
    await plug();
    await drive.behave({ delayMs: 0, silent: { '': -1 } });
    const began = performance.now(), failure: unknown = await openFolder(drive.place, undefined, 700).catch((error: unknown) => error);
    expect(String(failure)).toMatch(/can't be read: its drive does not answer/);
    expect(performance.now() - began).toBeLessThan(5_000);
  });

  it('that answers for nothing: said in one line with what to do, and no frame is waited for after the second', async () => {
    await plug();
    await drive.behave({ delayMs: 0, silent: Object.fromEntries(all.map((i) => [`f${i}.jpg`, -1])) });
    const began = performance.now(), failure: unknown = await openFolder(drive.place, undefined, 700).catch((error: unknown) => error);
    expect(String(failure)).toMatch(/No frame .*its drive does not answer/);
    expect(performance.now() - began).toBeLessThan(5_000);
  });

  it('that falls silent in the middle of a picture: the frame is named, the thread replaced, the others measured', async () => {
    await plug();
    const opened = await openFolder(drive.place);
    await drive.behave({ delayMs: 0, silent: { 'f1.jpg': HEADER_BYTES } });
    const source = new FolderSource(drive.place, opened.frames, undefined, 4_000), measured: number[] = [], named = new Map<number, string>();
    await source.measure(all, plan, (i) => measured.push(i), (i, reason) => named.set(i, reason));
    expect(measured.sort()).toEqual([0, 2, 3, 4]);
    expect([...named.entries()]).toEqual([[1, expect.stringMatching(/came to no end .*its drive does not answer/)]]);
  });

  it.each([['the list of its files', { '': -1 }], ['a header', { 'f3.jpg': -1 }], ['a picture', { 'f3.jpg': HEADER_BYTES }]])('that does not answer for %s: Ctrl-C ends the program within a second all the same', async (_, silent) => {
    await plug();
    await drive.behave({ delayMs: 0, silent });
    const { status, ms, stdout, stderr } = await runCli(['check', drive.place], 3_000);
    expect([status, stdout, stderr]).toEqual([130, '', '']);
    // With the time a busy machine takes to notice that a process has ended.
    expect(ms).toBeLessThan(1_200);
  });

  it('that holds a thread of an analysis is known to, so that the program can be ended by force, and lets go once it is pulled', async () => {
    await plug();
    await drive.behave({ delayMs: 0, silent: { 'f3.jpg': HEADER_BYTES } });
    const stop = new AbortController(), analysing = analyseFolder(drive.place, { rig: {}, overlap: 0.3, outputWidthPx: null, cache: false, signal: stop.signal });
    setTimeout(() => stop.abort(), 2_500);
    await expect(analysing).rejects.toThrow(CancelledError);
    expect(await threadsEnded(400)).toBe(false);
    await drive.pull();
    expect(await threadsEnded(10_000)).toBe(true);
  });

  // The decoder maps such files into memory. Where it touches a page that the drive can't give any more, the system ends the whole program, this test's included.
  it.each(['webp', 'tiff'] as const)('that is pulled while a decoder reads %s by name ends no program: the frames are named', async (format) => {
    const mapped = path.join(root, format), names = [0, 1].map((i) => `m${i}.${format}`), reasons: string[] = [];
    mkdirSync(mapped);
    for (const name of names) await noisePicture(COLUMNS, ROWS).toFormat(format, { lossless: true, compression: 'none' }).toFile(path.join(mapped, name));
    drive = (await oddDrive(mapped))!;
    const opened = await openFolder(drive.place);
    expect(opened.frames.map(({ problem }) => problem)).toEqual([null, null]);
    await drive.behave({ delayMs: 0, silent: Object.fromEntries(names.map((name) => [name, HEADER_BYTES])) });
    const measuring = opened.measure([0, 1], plan, () => expect.unreachable(), (_, reason) => reasons.push(reason));
    await new Promise((resolve) => setTimeout(resolve, 1_500));
    await drive.pull();
    await measuring;
    expect(reasons).toHaveLength(2);
  });

  it('that is pulled while it is read: every frame is named, in words', async () => {
    await plug();
    const opened = await openFolder(drive.place), reasons: string[] = [];
    await drive.behave({ delayMs: 0, silent: Object.fromEntries(all.map((i) => [`f${i}.jpg`, HEADER_BYTES])) });
    // Binned, as frames of many pixels are.
    const measuring = opened.measure(all, { ...plan, bin: 2 }, () => expect.unreachable(), (_, reason) => reasons.push(reason));
    await new Promise((resolve) => setTimeout(resolve, 1_500));
    await drive.pull();
    await measuring;
    expect(reasons).toHaveLength(FRAMES);
    for (const reason of reasons) expect(reason).toMatch(/drive does not answer|damaged or not complete|gone since/);
    const { status, stderr } = await runCli(['check', drive.place]);
    expect(status).toBe(3);
    expect(stderr).toMatch(/can't be read .*Check that its drive is connected/);
  });
});
