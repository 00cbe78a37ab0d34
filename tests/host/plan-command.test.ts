import { mkdtemp, readFile, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Plan } from '../../src/contract/plan.js';
import { runCli } from './cli-process.js';

let folder: string;
beforeAll(async () => { folder = await mkdtemp(path.join(tmpdir(), 'rungwise-plan-')); });
afterAll(() => rm(folder, { recursive: true, force: true }));
const rig = ['--magnification', '5', '--aperture', '2.8', '--pixel-pitch', '3.9'];

describe('rungwise plan', () => {
  it('gives JSON and nothing else on standard output (figures: rig table of the project’s optics page)', async () => {
    const { status, stdout, stderr } = await runCli(['plan', ...rig, '--depth-um', '900', '--overlap', '0.3', '--json', '-']);
    expect([status, stderr]).toEqual([0, '']);
    const plan = JSON.parse(stdout) as Plan;
    expect(plan.schema).toBe('rungwise.plan/1');
    expect(plan.optics.effectiveFNumber.value).toBeCloseTo(16.8, 9);
    // 24.84 µm × 1.0108.
    expect(Math.abs(plan.dofUm / 25.11 - 1)).toBeLessThan(1e-3);
    expect(plan.railUnits).toBeNull();
    expect(plan.clearanceMm).toBeNull();
    for (const key of ['fNumber', 'effectiveFNumber', 'dofUm', 'stepUm', 'frames', 'airyDiameterPx', 'resolvedUm', 'limitedBy']) expect(plan.apertures[0]).toHaveProperty(key);
  });

  it('explains, with the clearance caution, the assumed pupil ratio and the room left', async () => {
    const { status, stdout } = await runCli(['plan', ...rig, '--depth-um', '900', '--rail-unit', '5', '--working-distance', '42']);
    expect(status).toBe(0);
    for (const words of [/^Shoot 53 frames, 17\.6 µm apart/, /Room left +41\.1 mm/, /f\/16\.8/, /With a ruler/, /Before the camera moves towards the subject/, /> f\/2\.8/, /--pupil-ratio/]) expect(stdout).toMatch(words);
    for (const line of stdout.split('\n').filter((text) => !/f\/\d|aperture /.test(text))) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('writes a file whole', async () => {
    const file = path.join(folder, 'plan.json');
    const { status, stdout } = await runCli(['plan', ...rig, '--depth-um', '900', '--json', file, '--quiet']);
    expect([status, stdout]).toEqual([0, '']);
    expect((JSON.parse(await readFile(file, 'utf8')) as Plan).frames).toBeGreaterThan(40);
    expect(await readdir(folder)).toEqual(['plan.json']);
  });

  it.each([
    [['--aperture', '22'], /f\/132/], [['--working-distance', '0.5'], /longer than the working distance/], [['--output-width', '2000'], /--frame-width/],
    [['--overlap', '1'], /--overlap/], [['--depth-um', '-5'], /--depth-um/], [['--rig', '/no/such/card.json'], /no such file/], [['--magnification', 'five'], /--magnification/],
  ])('refuses %o in one line', async (more, words) => {
    const { status, stdout, stderr } = await runCli(['plan', ...rig, '--depth-um', '900', ...more]);
    expect([status, stdout]).toEqual([3, '']);
    expect(stderr).toMatch(words);
    expect(stderr).toMatch(/^rungwise: [^\n]+\n$/);
  });
  it.each([
    [[], ['--depth-um', '--magnification', '--aperture', '--pixel-pitch']],
    [['--depth-um', '900', '--aperture', '2.8'], ['--magnification', '--pixel-pitch']],
    [rig, ['--depth-um']],
  ])('names all that it lacks at once, given %j', async (given, lacks) => {
    const { status, stdout, stderr } = await runCli(['plan', ...given]);
    expect([status, stdout]).toEqual([3, '']);
    for (const flag of lacks) expect(stderr).toContain(`${flag} `);
    expect(stderr).toMatch(/^rungwise: A plan needs [^\n]+\n$/);
  });
});
