import { spawn } from 'node:child_process';
import { mkdirSync, readFileSync, readdirSync, statSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Report } from '../../src/contract/report.js';
import { openAnalysis } from '../../src/serve/analysis/open-analysis.js';
import { noisePicture } from '../unit/io-helpers/picture.js';
import { tempFolder } from '../unit/io-helpers/temp-folder.js';
import { runCli } from './cli-process.js';

const root = tempFolder();
const stack = path.join(root, 'stack');
const FRAMES = 6;
const place = (name: string): Record<string, string> => ({ RUNGWISE_CACHE: path.join(root, name) });
const entries = (name: string): string[] => readdirSync(path.join(root, name)).filter((file) => file.endsWith('.measure'));
const addFrame = (i: number): Promise<unknown> => noisePicture(320, 240, i + 1).linear(0.3, 90).jpeg({ quality: 95 }).toFile(path.join(stack, `f${i}.jpg`));
/** What changed less than two seconds ago is not kept yet. */
const settle = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 2_200));

async function check(env: Record<string, string>, ...args: string[]): Promise<Report> {
  const { stdout, stderr, status } = await runCli(['check', stack, '--json', '-', ...args], undefined, env);
  expect(stderr).toBe('');
  expect(status).toBe(2);
  return JSON.parse(stdout) as Report;
}
const untimed = (report: Report): object => ({ ...report, timing: null });

let uncached: Report;
beforeAll(async () => {
  mkdirSync(stack);
  for (let i = 0; i < FRAMES; i++) await addFrame(i);
  await settle();
  uncached = await check({ RUNGWISE_CACHE: 'off' });
});

describe('measurements kept between runs', () => {
  it('a second run decodes nothing and says the same to the last digit', async () => {
    const first = await check(place('twice')), second = await check(place('twice'));
    expect(first.timing).toMatchObject({ cachedFrames: 0, frames: FRAMES });
    expect(first.timing.decodeMs).toBeGreaterThan(0);
    expect(second.timing).toMatchObject({ cachedFrames: FRAMES, frames: FRAMES, decodeMs: 0 });
    expect(untimed(first)).toEqual(untimed(uncached));
    expect(untimed(second)).toEqual(untimed(uncached));
    expect((await runCli(['check', stack], undefined, place('twice'))).stdout).toMatch(/All of them had been\s+measured\s+before/);
  });
  it('other optics measure anew', async () => {
    await check(place('optics'));
    expect((await check(place('optics'), '--magnification', '1', '--aperture', '16', '--pixel-pitch', '3.9')).timing.cachedFrames).toBe(0);
  });
  it('--no-cache neither reads nor writes', async () => {
    expect((await check(place('twice'), '--no-cache')).timing.cachedFrames).toBe(0);
    await check(place('none'), '--no-cache');
    expect(() => entries('none')).toThrow();
  });
  it('two processes at once share it', async () => {
    const both = await Promise.all([check(place('shared')), check(place('shared'))]);
    for (const report of both) expect(untimed(report)).toEqual(untimed(uncached));
    expect(entries('shared')).toHaveLength(FRAMES);
    expect(readdirSync(path.join(root, 'shared'))).toHaveLength(FRAMES);
    expect((await check(place('shared'))).timing.cachedFrames).toBe(FRAMES);
  });
  it('damaged entries are measured anew and mended', async () => {
    await check(place('damaged'));
    const files = entries('damaged').map((name) => path.join(root, 'damaged', name));
    writeFileSync(files[0], '');
    writeFileSync(files[1], readFileSync(files[1]).subarray(0, 1_000));
    writeFileSync(files[2], readFileSync(files[2]).fill(255, 5_000, 5_004));
    const report = await check(place('damaged'));
    expect(report.timing.cachedFrames).toBe(FRAMES - 3);
    expect(untimed(report)).toEqual(untimed(uncached));
    expect((await check(place('damaged'))).timing.cachedFrames).toBe(FRAMES);
  });
  it('keeps within its limit', async () => {
    const size = statSync(path.join(root, 'twice', entries('twice')[0])).size;
    await check({ ...place('small'), RUNGWISE_CACHE_MB: String((3.5 * size) / 1e6) });
    expect(entries('small')).toHaveLength(3);
    expect((await check({ ...place('small'), RUNGWISE_CACHE_MB: String((3.5 * size) / 1e6) })).timing.cachedFrames).toBe(3);
  });
  it('works without where the place can’t be written to', async () => {
    writeFileSync(path.join(root, 'occupied'), 'a file');
    expect(untimed(await check(place('occupied')))).toEqual(untimed(uncached));
    expect(readFileSync(path.join(root, 'occupied'), 'utf8')).toBe('a file');
  });
  it.each([1, 4])('is whole after a kill while entry %i is written', async (count) => {
    const name = `killed-${count}`;
    const env = { ...process.env, ...place(name), KILL_AT_WRITE: String(count), NODE_OPTIONS: `--import ${pathToFileURL(path.resolve('tests/host/kill-while-writing.mjs')).href}` };
    const child = spawn(process.execPath, [path.resolve('bin/rungwise.js'), 'check', stack, '--quiet'], { env, stdio: 'ignore' });
    expect(await new Promise((resolve) => child.on('close', (_status, by) => resolve(by)))).toBe('SIGKILL');
    expect(entries(name)).toHaveLength(count - 1);
    expect(readdirSync(path.join(root, name))).toHaveLength(count);
    expect(untimed(await check(place(name)))).toEqual(untimed(uncached));
    expect((await check(place(name))).timing.cachedFrames).toBe(FRAMES);
  });
});

describe('after a top-up', () => {
  it('the command line and the window read only what is new or changed', async () => {
    await check(place('top-up'));
    await addFrame(FRAMES);
    await addFrame(2);
    const again = await check(place('top-up'));
    expect(again.timing).toMatchObject({ frames: FRAMES + 1, cachedFrames: FRAMES - 1 });
    process.env['RUNGWISE_CACHE'] = path.join(root, 'top-up');
    try {
      // Written once more: on a busy machine the run before may have begun so late that it kept the first ones.
      await addFrame(FRAMES);
      await addFrame(2);
      await settle();
      const settings = { entered: {}, rigCard: null, overlap: 0.3, outputWidthPx: null };
      for (const cachedFrames of [FRAMES - 1, FRAMES + 1]) {
        const analysis = await openAnalysis(stack);
        expect((await analysis.analyse(settings, () => undefined, new AbortController().signal)).timing.cachedFrames).toBe(cachedFrames);
        await analysis.close();
      }
    } finally {
      process.env['RUNGWISE_CACHE'] = 'off';
    }
  });
});
