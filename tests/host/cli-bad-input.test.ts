import { copyFileSync, mkdirSync, readFileSync, readdirSync, statSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import sharp from 'sharp';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Report } from '../../src/contract/report.js';
import { noisePicture } from '../unit/io-helpers/picture.js';
import { tempFolder } from '../unit/io-helpers/temp-folder.js';
import { runCli, type Ended } from './cli-process.js';

const root = tempFolder();
const sample = path.resolve('sample-frames/quartz-druse');
const sampleFiles = readdirSync(sample).filter((name) => name.endsWith('.jpg')).sort();
const rig = ['--magnification', '5', '--aperture', '2.8', '--pixel-pitch', '3.9'];

function make(name: string): string {
  const folder = path.join(root, name);
  mkdirSync(folder);
  return folder;
}

/** One line on standard error with no stack, nothing on standard output, status 3. */
function expectRefusal({ status, stdout, stderr }: Ended, words: RegExp): void {
  expect(stderr).toMatch(words);
  expect(stderr.trimEnd().split('\n')).toHaveLength(1);
  expect(stderr).not.toMatch(/\n\s+at |node:|\.js:\d/);
  expect(stdout).toBe('');
  expect(status).toBe(3);
}

describe('a folder that is no stack', () => {
  it.each([
    ['missing', () => path.join(root, 'absent'), /There is no folder .*absent.*Check the name/],
    ['empty', () => make('empty'), /is empty\. Name the folder/],
    ['a file', () => path.join(sample, sampleFiles[0]), /is a file, not a folder/],
    ['of text files named .jpg', () => { const folder = make('texts'); for (const n of [1, 2, 3]) writeFileSync(path.join(folder, `${n}.jpg`), 'no picture'); return folder; }, /No frame .*1\.jpg: it is not a picture.*Copy the frames/],
    ['of empty files', () => { const folder = make('zeros'); for (const n of [1, 2]) writeFileSync(path.join(folder, `${n}.jpg`), ''); return folder; }, /No frame .*empty \(0 bytes\)/],
  ])('%s', async (_, prepare, words) => { expectRefusal(await runCli(['check', prepare()]), words); });
});

describe('a mistyped command line', () => {
  it.each([
    ['negative magnification', ['--magnification', '-5'], /--magnification got -5.*from 0\.05 to 50/],
    ['aperture 0', ['--aperture', '0'], /--aperture got 0.*from 0\.5 to 64/],
    ['aperture NaN', ['--aperture', 'NaN'], /--aperture got "NaN", which is not a number/],
    ['aperture infinite', ['--aperture', 'Infinity'], /--aperture/],
    ['absurd pixel pitch', ['--pixel-pitch', '3900'], /--pixel-pitch got 3900.*from 0\.3 to 30 µm/],
    ['pupil ratio 0', ['--pupil-ratio', '0'], /--pupil-ratio/],
    ['overlap 1', ['--overlap', '1'], /--overlap got 1.*from 0 to 0\.9/],
    ['half an output pixel', ['--output-width', '1000.5'], /--output-width.*whole number/],
    ['a decimal comma', ['--aperture', '2,8'], /point, as in 2\.8/],
    ['a profile of three numbers', ['--profile', '1,2,3', '--report', 'x.csv'], /--profile got "1,2,3", which is not four numbers/],
    ['a profile of no length', ['--profile', '1,2,1,2', '--report', 'x.csv'], /no length/],
    ['a profile without a place for it', ['--profile', '1,2,3,4'], /--profile needs a place.*--report/],
    ['unknown option', ['--magnfication', '5'], /[Uu]nknown option '--magnfication'.*--magnification/],
    ['a forgotten file name', ['--json', '--quiet'], /--json needs a file name/],
    ['a missing rig card', ['--rig', 'absent.rig.json'], /Rig card absent\.rig\.json: there is no such file/],
    ['two folders', [sample], /argument/],
  ])('%s', async (_, args, words) => { expectRefusal(await runCli(['check', sample, ...args]), words); });
  it('unknown command', async () => expectRefusal(await runCli(['chekc', sample]), /chekc/));
  it('check without a folder', async () => expectRefusal(await runCli(['check']), /folder/));
  it('a report into the stack’s own folder', async () => {
    const before = readdirSync(sample);
    for (const option of ['--json', '--report']) expectRefusal(await runCli(['check', sample, option, path.join(sample, 'r.html')]), /never written to/);
    expect(readdirSync(sample)).toEqual(before);
  });
  it('a report to a folder that does not exist', async () => expectRefusal(await runCli(['check', sample, '--json', path.join(root, 'absent', 'r.json')]), /no folder.*Make the folder/));
});

describe('broken frames among good ones', () => {
  let report: Report, ended: Ended;
  const folder = path.join(root, 'broken');
  const bad = { cut: sampleFiles[8], zero: sampleFiles[14], text: 'P01106a.jpg', small: 'P01115a.png' };
  beforeAll(async () => {
    mkdirSync(folder);
    for (const name of sampleFiles) copyFileSync(path.join(sample, name), path.join(folder, name));
    const whole = readFileSync(path.join(folder, bad.cut));
    writeFileSync(path.join(folder, bad.cut), whole.subarray(0, Math.floor(whole.length * 0.7)));
    writeFileSync(path.join(folder, bad.zero), '');
    writeFileSync(path.join(folder, bad.text), 'no picture');
    await noisePicture(320, 200).png().toFile(path.join(folder, bad.small));
    const times = readdirSync(folder).map((name) => statSync(path.join(folder, name)).mtimeMs);
    ended = await runCli(['check', folder, ...rig, '--json', path.join(root, 'broken.json')]);
    report = JSON.parse(readFileSync(path.join(root, 'broken.json'), 'utf8')) as Report;
    expect(readdirSync(folder).map((name) => statSync(path.join(folder, name)).mtimeMs)).toEqual(times);
  });
  const flagsOf = (file: string): string[] => report.stack.frames.find((frame) => frame.file === file)?.flags ?? ['absent'];

  it('names each of them and drops none', () => {
    expect(report.stack.frames.map((frame) => frame.file)).toEqual([...sampleFiles, bad.text, bad.small].sort());
    for (const file of [bad.cut, bad.zero, bad.text]) expect(flagsOf(file), file).toContain('unreadable');
    expect(flagsOf(bad.small)).toContain('other-size');
    for (const file of Object.values(bad)) expect(ended.stdout, file).toContain(file);
  });
  it('goes on with the others', () => {
    expect(report.stack.order).toHaveLength(sampleFiles.length - 2);
    expect([0, 1, 2]).toContain(ended.status);
    expect(ended.stderr).toBe('');
  });
  it('writes nothing into the folder', () => expect(readdirSync(folder).sort()).toEqual([...sampleFiles, bad.text, bad.small].sort()));
});

describe('a stack that can’t be judged', () => {
  it('one frame', async () => {
    const folder = make('one');
    copyFileSync(path.join(sample, sampleFiles[0]), path.join(folder, 'a.jpg'));
    // Too few frames is *undecided* in the report's contract, with reasons that name what would help.
    const { status, stdout, stderr } = await runCli(['check', folder, ...rig, '--json', path.join(root, 'one.json')]);
    expect([status, stderr]).toEqual([2, '']);
    expect(stdout).toMatch(/^Cannot tell.*\n.*one frame.*Shoot the stack, or choose the folder/s);
    const report = JSON.parse(readFileSync(path.join(root, 'one.json'), 'utf8')) as Report;
    expect(report.verdict.decision).toBe('undecided');
    expect(report.stack.frames).toMatchObject([{ file: 'a.jpg', positionDof: null, flags: [] }]);
  });
  it('one good frame beside a broken one: both are named', async () => {
    const folder = make('one-and-broken');
    copyFileSync(path.join(sample, sampleFiles[0]), path.join(folder, 'a.jpg'));
    writeFileSync(path.join(folder, 'b.jpg'), 'no picture');
    const { status, stdout } = await runCli(['check', folder, ...rig]);
    expect(status).toBe(2);
    expect(stdout).toMatch(/one frame[\s\S]*b\.jpg \(unreadable\)/);
  });
  it('frames without any detail: cannot tell', async () => {
    const folder = make('blank');
    for (let i = 0; i < 6; i++) await sharp({ create: { width: 900, height: 600, channels: 3, background: { r: 120, g: 120 + i, b: 121 } } }).jpeg().toFile(path.join(folder, `b${i}.jpg`));
    const { status, stdout, stderr } = await runCli(['check', folder, ...rig]);
    expect(stdout).toMatch(/^Cannot tell/);
    expect(status).toBe(2);
    expect(stderr).toBe('');
  });
  it('nothing but sensor noise: cannot tell', async () => {
    const folder = make('noise');
    for (let i = 0; i < 6; i++) await noisePicture(900, 600, i + 1).linear(0.06, 110).jpeg({ quality: 95 }).toFile(path.join(folder, `n${i}.jpg`));
    const { status, stdout } = await runCli(['check', folder, ...rig]);
    expect(stdout).toMatch(/^Cannot tell/);
    expect(status).toBe(2);
  });
});

describe('Ctrl-C', () => {
  it('is listened for before the program’s parts are loaded', async () => {
    // Sends itself the signal at the first sign of listening, and says whether the picture decoder was there by then.
    const spy = path.join(make('spy'), 'spy.mjs');
    writeFileSync(spy, `process.once('newListener', function seen(name) {
      if (name !== 'SIGINT') { process.once('newListener', seen); return; }
      const loaded = process.report.getReport().sharedObjects.some((file) => file.includes('sharp'));
      process.stderr.write(loaded ? 'late' : 'early');
      setImmediate(() => process.kill(process.pid, 'SIGINT'));
    });`);
    process.env['NODE_OPTIONS'] = `--import=${spy}`;
    try {
      const { status, stdout, stderr } = await runCli(['check', sample, ...rig]);
      expect([status, stdout, stderr]).toEqual([130, '', 'early']);
    } finally {
      delete process.env['NODE_OPTIONS'];
    }
  });
  // From the start of the program over reading to solving, in a stack so long that no machine is done by then.
  it.each([150, 1_200, 4_000])('after %i ms ends within a second and leaves nothing behind', async (delay) => {
    const out = make(`stopped-${delay}`), long = make(`long-${delay}`);
    for (let copy = 0; copy < 20; copy++) for (const file of sampleFiles) copyFileSync(path.join(sample, file), path.join(long, `${copy}-${file}`));
    const { status, ms, stdout, stderr } = await runCli(['check', long, ...rig, '--json', path.join(out, 'r.json')], delay);
    expect(status).toBe(130);
    expect(ms).toBeLessThan(1000);
    expect(stdout + stderr).toBe('');
    expect(readdirSync(out)).toEqual([]);
  });
});
