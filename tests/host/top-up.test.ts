import { copyFile, mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Report } from '../../src/contract/report.js';
import { depthUnitUm } from '../helpers/render/lens.js';
import { fieldBase, stackOf, type FieldStack } from '../helpers/stack/field-base.js';
import { writeStack } from '../helpers/stack/write-stack.js';
import { runCli } from './cli-process.js';

// A rendered stack with a gap is checked, the frames that the top-up asks for are rendered where it asks for them, and it is checked again.

let parent: string;
let shots: string;
let base: FieldStack;
const SPEC = { name: 'to-mend', seed: 204, surface: 'plane', frames: 12, gaps: { 6: 2.1 }, picture: { rows: 448, columns: 640 } } as const;

beforeAll(async () => {
  parent = await mkdtemp(path.join(tmpdir(), 'rungwise-top-up-'));
  process.env['RUNGWISE_SETTINGS'] = path.join(parent, 'settings');
  base = fieldBase(SPEC);
  await writeStack(base.stack, parent);
  shots = path.join(parent, base.stack.name);
});
afterAll(async () => { delete process.env['RUNGWISE_SETTINGS']; await rm(parent, { recursive: true, force: true }); });

async function check(name: string): Promise<{ status: number; stdout: string; report: Report; page: string }> {
  const { lens } = base.stack, json = path.join(parent, `${name}.json`), page = path.join(parent, `${name}.html`);
  const { status, stdout, stderr } = await runCli(['check', shots, '--magnification', String(lens.magnification), '--aperture', String(lens.fNumber), '--pupil-ratio', String(lens.pupilRatio),
    '--pixel-pitch', String(lens.pixelPitchUm), '--rail-unit', '10', '--json', json, '--report', page]);
  expect(stderr).toBe('');
  return { status, stdout: stdout.replace(/\s+/g, ' '), report: JSON.parse(await readFile(json, 'utf8')) as Report, page: await readFile(page, 'utf8') };
}

describe('a gap, its top-up and the check after it', () => {
  it('asks for frames, knows them when they have been shot, and says what they mended', async () => {
    const unitUm = depthUnitUm(base.stack.lens), trueUm = base.positions.map((at) => (at - base.positions[0]!) * unitUm);
    const before = await check('before');
    expect(before.status).toBe(1);
    expect(before.report.verdict.decision).toBe('top-up');
    // The one gap of the renderer, between its seventh and eighth frame.
    expect(before.report.topUp).toMatchObject([{ after: 6, before: 7 }]);
    const asked = before.report.topUp[0]!.positionsUm!;
    // 2.1 λ/NA² at 0.7 DOF a step: ⌈2.1 / (0.7 × 1.01)⌉ − 1 = 2 frames (common practice, no source).
    expect(asked).toHaveLength(2);
    for (const um of asked) { expect(um).toBeGreaterThan(trueUm[6]!); expect(um).toBeLessThan(trueUm[7]!); }
    expect(before.stdout).toMatch(/Add 2 frames between 01107 and 01108\..*Before the camera moves.*1\. Start where the camera stands now.*rail units/);

    // Shot where they were asked for, by the renderer; the files are numbered on after the last.
    const positions = [...base.positions, ...asked.map((um) => base.positions[0]! + um / unitUm)];
    const later = stackOf('later', base.stack, base.stack.scenes, positions, SPEC.seed);
    const truth = await writeStack(later, parent);
    for (const file of truth.frames.slice(-2)) await copyFile(path.join(parent, 'later', file), path.join(shots, file));

    const after = await check('after');
    expect(after.status).toBe(0);
    expect(after.report.verdict.decision).toBe('keep');
    expect(after.report.topUp).toEqual([]);
    expect(after.report.stack.order).toEqual([0, 1, 2, 3, 4, 5, 6, 12, 13, 7, 8, 9, 10, 11]);
    // A tenth of a DOF: 12 % of a 0.7-DOF step, what a gap's size may be off by.
    asked.forEach((um, i) => expect(Math.abs(after.report.stack.frames[12 + i]!.positionUm! - um)).toBeLessThan(0.1 * after.report.optics.dofUm.value!));
    const mended = /2 frames shot later close the place between 01107 and 01108: its step was (\d+) µm, the longest there is now (\d+) µm/;
    for (const text of [after.stdout, after.page]) {
      const [, was, now] = mended.exec(text)!;
      expect(Math.abs(Number(was) / (trueUm[7]! - trueUm[6]!) - 1)).toBeLessThan(0.12);
      expect(Number(now)).toBeLessThan(0.8 * after.report.optics.dofUm.value!);
    }
  });
});
