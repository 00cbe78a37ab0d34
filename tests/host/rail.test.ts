import { copyFile, mkdir, mkdtemp, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RailReport } from '../../src/contract/rail.js';
import { renderTarget } from '../helpers/stack/rail-target-stack.js';
import { runCli } from './cli-process.js';

// Rendered stacks of a flat, tilted target; the true step, slack and tilt are the renderer's own.

let parent: string;
beforeAll(async () => { parent = await mkdtemp(path.join(tmpdir(), 'rungwise-rail-')); process.env['RUNGWISE_SETTINGS'] = path.join(parent, 'settings'); });
afterAll(async () => { delete process.env['RUNGWISE_SETTINGS']; await rm(parent, { recursive: true, force: true }); });

async function rail(folder: string, ...more: string[]): Promise<RailReport> {
  const { status, stdout, stderr } = await runCli(['rail', folder, '--json', '-', ...more]);
  expect([status, stderr]).toEqual([0, '']);
  return JSON.parse(stdout) as RailReport;
}

describe.each([[2.5, 4, 41, 60], [5, 2.8, 42, 22]] as const)('a rail seen at %d× f/%d', (magnification, fNumber, seed, slackUm) => {
  it('has its step found within 2 % and its slack within 3 µm, by the optics and by the target’s tilt', async () => {
    const { folder, lens, stepUm, tiltDeg } = await renderTarget(parent, seed, magnification, fNumber, slackUm);
    const rig = ['--magnification', String(magnification), '--pixel-pitch', String(lens.pixelPitchUm)];
    const byOptics = await rail(folder, ...rig, '--aperture', String(fNumber), '--pupil-ratio', '1', '--units', '2', '--commanded', stepUm.toFixed(3), '--save', `Bench ${magnification}`);
    expect(byOptics).toMatchObject({ schema: 'rungwise.rail/1', scaleFrom: 'optics', slackAt: 'start', frames: 16 });
    expect(Math.abs(byOptics.measuredUm! / stepUm - 1)).toBeLessThan(0.02);
    expect(Math.abs(byOptics.slackUm! - slackUm)).toBeLessThan(3);
    expect(byOptics.railUnitUm!).toBeCloseTo(byOptics.measuredUm! / 2, 9);
    expect(byOptics.cautions.join(' ')).toMatch(/Before the camera moves towards the subject/);

    // The same lengths from the picture's own geometry.
    const byTilt = await rail(folder, ...rig, '--tilt', tiltDeg.toFixed(2), '--aperture', String(fNumber), '--pupil-ratio', '1');
    expect(byTilt.scaleFrom).toBe('tilt');
    expect(Math.abs(byTilt.measuredUm! / stepUm - 1)).toBeLessThan(0.02);
    expect(Math.abs(byTilt.slackUm! - slackUm)).toBeLessThan(3);

    // Two frames were thrown away: known by their numbers, and no slips.
    const thinned = path.join(parent, `thinned-${magnification}`);
    await mkdir(thinned);
    const files = (await readdir(folder)).sort(), gone = [files[7]!, files[11]!];
    for (const file of files) if (!gone.includes(file)) await copyFile(path.join(folder, file), path.join(thinned, file));
    const fewer = await rail(thinned, ...rig, '--tilt', tiltDeg.toFixed(2), '--aperture', String(fNumber), '--pupil-ratio', '1');
    expect(fewer).toMatchObject({ frames: 14, slips: [], missing: [{ afterFrame: 6, count: 1, moved: true }, { afterFrame: 9, count: 1, moved: true }] });
    expect(fewer.cautions.join(' ')).toMatch(/1 frame after 01107 is missing by the file numbers: the rail was taken to have moved for it too/);
    expect(Math.abs(fewer.measuredUm! / stepUm - 1)).toBeLessThan(0.02);
    expect(Math.abs(fewer.slackUm! - slackUm)).toBeLessThan(3);

    // Saved, and used by the plan.
    const { stdout } = await runCli(['plan', '--rig', `Bench ${magnification}`, '--depth-um', '900', '--json', '-']);
    const plan = JSON.parse(stdout) as { stepUm: number; railUnits: number };
    expect(plan.railUnits).toBeCloseTo(plan.stepUm / (stepUm / 2), 0);
  });
});

describe('a rail that can’t be told', () => {
  it('says what the options lack, in one line', async () => {
    const { status, stderr } = await runCli(['rail', parent, '--save', 'x']);
    expect(status).toBe(3);
    expect(stderr).toMatch(/^rungwise: --save needs .*--units.*\n$/);
  });
});
