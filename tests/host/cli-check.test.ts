import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Report } from '../../src/contract/report.js';
import { tempFolder } from '../unit/io-helpers/temp-folder.js';
import { runCli, type Ended } from './cli-process.js';

const sample = path.resolve('sample-frames/quartz-druse');
const card = path.resolve('sample-frames/quartz-druse.rig.json');
/** Rendered with known depths by the project's own renderer. */
const truth = JSON.parse(readFileSync(`${sample}.truth.json`, 'utf8')) as { frames: string[]; stepsUm: number[]; dofUm: number; harmful: number[]; harmless: number[] };

describe('rungwise check on the sample stack', () => {
  const file = path.join(tempFolder(), 'report.json');
  let ended: Ended, report: Report;
  beforeAll(async () => {
    ended = await runCli(['check', sample, '--rig', card, '--pupil-ratio', '1', '--json', file]);
    report = JSON.parse(readFileSync(file, 'utf8')) as Report;
  });

  it('finds the missing band and ends with status 1', () => {
    expect(truth.harmful.length).toBeGreaterThan(0);
    for (const k of truth.harmful) {
      const step = report.steps.find((one) => one.from === k && one.to === k + 1);
      expect(step).toMatchObject({ grade: 'gap' });
      // 12 %: the error allowed for a gap's size.
      expect(Math.abs((step?.stepUm ?? 0) / truth.stepsUm[k] - 1)).toBeLessThan(0.12);
    }
    expect(ended.status).toBe(1);
    expect(ended.stderr).toBe('');
  });
  it('says the verdict first, draws the ladder, then what to do, with the clearance caution', () => {
    const { stdout } = ended;
    expect(stdout).toMatch(/^Leave the rig up: two frames are missing\./);
    const places = ['Leave the rig up', 'Ladder', '////', 'What to do', 'Before the camera moves towards the subject', 'What this rests on'].map((words) => stdout.indexOf(words));
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(places[0]).toBe(0);
  });
  it('has one line a rung, in depth order', () => {
    const rungs = ended.stdout.split('\n').filter((line) => /^ {2}\d{4,5} .*µm/.test(line));
    expect(rungs).toHaveLength(truth.frames.length);
  });
  it('draws the gap where nothing lies as empty, not as missing', () => {
    expect(truth.harmless.length).toBeGreaterThan(0);
    expect(ended.stdout).toMatch(/\.\.\.\. .*nothing lies there: harmless/);
  });
  it('is plain text where it is piped', () => {
    expect(ended.stdout).not.toContain('\x1b');
    expect(Math.max(...ended.stdout.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
  });
  it('says where each value came from: an option goes before the rig card', () => {
    expect(report.optics.pupilRatio).toEqual({ value: 1, source: 'option' });
    expect(report.optics.magnification).toEqual({ value: 5, source: 'rig-card' });
    expect(report.optics.wavelengthNm).toEqual({ value: 550, source: 'default' });
  });
  it('writes nothing beside the frames', () => expect(readdirSync(sample).sort()).toEqual([...truth.frames].sort()));
});

it('--json - puts the report and nothing else on standard output; without optics, µm stay unknown', async () => {
  const { stdout, stderr } = await runCli(['check', sample, '--json', '-']);
  const report = JSON.parse(stdout) as Report;
  expect(report.schema).toBe('rungwise.report/1');
  expect(report.optics.dofUm).toEqual({ value: null, source: 'unknown' });
  expect(report.steps.every((step) => step.stepUm === null)).toBe(true);
  expect(stderr).toBe('');
});

describe('help', () => {
  it.each([[[]], [['--help']], [['help']]])('%j shows the commands', async (args) => {
    const { status, stdout, stderr } = await runCli(args);
    expect(stdout).toMatch(/check/);
    expect([status, stderr]).toEqual([0, '']);
  });
  it('check --help teaches by examples and names the exit statuses', async () => {
    const { status, stdout } = await runCli(['check', '--help']);
    for (const words of ['--magnification 5 --aperture 2.8', '--rig ', '--json -', '--report ', '--overlap', '--output-width', 'Exit status']) expect(stdout).toContain(words);
    expect(status).toBe(0);
  });
  it('--version', async () => expect((await runCli(['--version'])).stdout.trim()).toBe((JSON.parse(readFileSync('package.json', 'utf8')) as { version: string }).version));
});
