import { createHash } from 'node:crypto';
import { copyFile, mkdir, mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { OrderReport } from '../../src/contract/order.js';
import { fieldBase } from '../helpers/stack/field-base.js';
import type { StackTruth } from '../helpers/stack/stack-truth.js';
import { writeStack } from '../helpers/stack/write-stack.js';
import { runCli } from './cli-process.js';

// The true order is the renderer's own; names are shuffled by a fixed rule.

let parent: string;
let truth: StackTruth;
let shuffled: string;
/** Content → depth rank. */
const rankOf = new Map<string, number>();
const hash = async (file: string): Promise<string> => createHash('sha256').update(await readFile(file)).digest('hex');

beforeAll(async () => {
  parent = await mkdtemp(path.join(tmpdir(), 'rungwise-order-'));
  const { stack } = fieldBase({ name: 'shuffled', seed: 408, surface: 'relief', frames: 9, picture: { rows: 448, columns: 640 } });
  truth = await writeStack(stack, parent);
  shuffled = path.join(parent, 'incoming');
  await mkdir(shuffled);
  for (const [rank, index] of truth.depthOrder.entries()) {
    const from = path.join(parent, stack.name, truth.frames[index]!);
    // 5 is coprime to 9: every name once, neighbours far apart.
    await copyFile(from, path.join(shuffled, `shot-${(rank * 5) % 9}.jpg`));
    rankOf.set(await hash(from), rank);
  }
}, 240_000);
afterAll(() => rm(parent, { recursive: true, force: true }));

const rig = (): string[] => ['--magnification', String(truth.magnification), '--aperture', String(truth.fNumber), '--pupil-ratio', '1', '--pixel-pitch', String(truth.pixelPitchUm)];

describe('rungwise order', () => {
  it('puts shuffled frames into depth order, from one end to the other', async () => {
    const { status, stdout, stderr } = await runCli(['order', shuffled, '--to', path.join(parent, 'ordered'), ...rig()]);
    expect(stderr).toBe('');
    expect(status).toBe(0);
    expect(stdout).toMatch(/9 frames copied to .*numbered from/s);
    const names = (await readdir(path.join(parent, 'ordered'))).filter((name) => name.endsWith('.jpg')).sort();
    const ranks = await Promise.all(names.map(async (name) => rankOf.get(await hash(path.join(parent, 'ordered', name)))));
    // Which end is near can't be told from every stack; then it may run either way, and says so.
    const upward = [0, 1, 2, 3, 4, 5, 6, 7, 8];
    expect(/near to far/.test(stdout) ? [upward] : [upward, [...upward].reverse()]).toContainEqual(ranks);
    expect((await readFile(path.join(parent, 'ordered', 'order.csv'), 'utf8')).split('\r\n').length).toBe(11);
    expect((await readdir(shuffled)).length).toBe(9);
  });

  it('says for a script what became of which frame, and nothing else on standard output', async () => {
    const to = path.join(parent, 'for-script');
    const { status, stdout, stderr } = await runCli(['order', shuffled, '--to', to, '--json', '-', ...rig()]);
    expect([status, stderr]).toEqual([0, '']);
    const told = JSON.parse(stdout) as OrderReport;
    expect(told).toMatchObject({ schema: 'rungwise.order/1', from: shuffled, folder: to, leftOut: [] });
    expect(told.copied.map(({ number }) => number)).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9]);
    for (const { file, original } of told.copied) expect(await hash(path.join(to, file))).toBe(await hash(path.join(shuffled, original)));
    const ranks = await Promise.all(told.copied.map(async ({ original }) => rankOf.get(await hash(path.join(shuffled, original)))));
    const upward = [0, 1, 2, 3, 4, 5, 6, 7, 8];
    expect(told.first === 'near' ? [upward] : [upward, [...upward].reverse()]).toContainEqual(ranks);
    // The list may not go into the stack's own folder, and is refused before a frame is read.
    expect(await runCli(['order', shuffled, '--to', path.join(parent, 'never'), '--json', path.join(shuffled, 'order.json')])).toMatchObject({ status: 3, stdout: '' });
    expect((await readdir(parent)).includes('never')).toBe(false);
  });

  it('leaves nothing behind at Ctrl-C', async () => {
    const { status, ms } = await runCli(['order', shuffled, '--to', path.join(parent, 'stopped'), ...rig()], 500);
    expect(status).toBe(130);
    expect(ms).toBeLessThan(2000);
    expect((await readdir(parent)).filter((name) => name.includes('stopped'))).toEqual([]);
    expect((await readdir(shuffled)).length).toBe(9);
  });

  it.each([
    ['inside', 'stack’s own folder', (): string => path.join(shuffled, 'x')],
    ['full', 'already holds files', (): string => path.join(parent, 'full')],
    ['nowhere', 'There is no folder', (): string => path.join(parent, 'no', 'where')],
  ])('refuses a target that is %s, in one line and before reading a frame', async (_name, words, to) => {
    await mkdir(path.join(parent, 'full'), { recursive: true });
    await writeFile(path.join(parent, 'full', 'mine.txt'), 'mine');
    const { status, stdout, stderr } = await runCli(['order', shuffled, '--to', to()]);
    expect(status).toBe(3);
    expect(stdout).toBe('');
    expect(stderr.replace("'", '’')).toContain(words);
    expect(stderr.trimEnd().split('\n').length).toBe(1);
    expect(await readdir(path.join(parent, 'full'))).toEqual(['mine.txt']);
  });
});
