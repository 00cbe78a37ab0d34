import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Report } from '../../src/contract/report.js';
import { checkStack } from '../helpers/score/check-stack.js';
import { otherSubjectFrom, plainFolder, scaled, secondPass, sideways, speckled, strangerAt } from '../helpers/stack/folder-cases.js';
import type { PlannedStack } from '../helpers/stack/planned-stack.js';
import { writeStack } from '../helpers/stack/write-stack.js';

// What is wrong with each folder was put in by the renderer; frames are numbered 01101 …, so index 6 is 01107.
// A confident verdict on a strange folder is the worst outcome, a false alarm on a plain one the second worst.

const OURS = ['two-subjects', 'two-sizes', 'two-passes', 'magnification-jump', 'sideways', 'growth-disagrees', 'lasting-specks', 'missing-number'];
let parent = '';
beforeAll(async () => { parent = await mkdtemp(path.join(tmpdir(), 'rungwise-folders-')); });
afterAll(() => rm(parent, { recursive: true, force: true }));

async function check(stack: PlannedStack): Promise<Report> {
  const inside = await mkdtemp(path.join(parent, 'case-')), truth = await writeStack(stack, inside);
  return checkStack(path.join(inside, stack.name), truth);
}
const kindsOf = (report: Report) => report.findings.map((finding) => finding.kind).filter((kind) => OURS.includes(kind));

describe('a folder that is no one stack', () => {
  it.each<[string, () => PlannedStack, string, string[]]>([
    ['two subjects', () => otherSubjectFrom(602, 6), 'two-subjects', ['01101–01106', '01107–01112']],
    ['a stranger among its frames', () => strangerAt(602, 5), 'two-subjects', ['01106']],
    ['a lens setting that changed by 3 %', () => scaled(602, 1.03, (k) => k >= 6), 'magnification-jump', ['01107', '3.0 % larger']],
    ['another zoom', () => scaled(602, 0.8, (k) => k >= 6), 'magnification-jump', ['01107', '% smaller']],
    ['some frames cropped and made as large', () => scaled(602, 1.4, (k) => k % 4 === 2), 'magnification-jump', ['01103, 01107, 01111']],
    ['two places of a panorama', () => sideways(602, (k) => (k < 6 ? -0.3 : 0.3)), 'sideways', ['01107']],
    ['a picture that drifts sideways', () => sideways(602, (k) => 0.06 * (k - 5.5)), 'sideways', ['of the picture lies in all frames']],
  ])('is undecided and says why: %s', async (_, plan, kind, named) => {
    const report = await check(plan());
    expect(report.verdict.decision).toBe('undecided');
    expect(kindsOf(report)).toEqual([kind]);
    for (const words of named) expect(report.verdict.reasons[0]).toContain(words);
    expect(report.steps.filter((step) => step.grade !== 'unmeasured')).toEqual([]);
  }, 300_000);
});

describe('a folder that is one', () => {
  it('with a gap, gets none of these findings', async () => {
    const report = await check(plainFolder(603, { gaps: { 6: 2.2 } }));
    expect([report.verdict.decision, kindsOf(report)]).toEqual(['top-up', []]);
  }, 300_000);
  it('shot in two passes is judged as one and says so', async () => {
    const report = await check(secondPass(602));
    expect([report.verdict.decision, kindsOf(report)]).toEqual(['keep', ['two-passes']]);
    expect(report.verdict.reasons[1]).toContain('01101–01112 and 01113–01124');
  }, 300_000);
  it('with dust on the sensor keeps its verdict, and the dust is named', async () => {
    const [clean, dusty] = [await check(plainFolder(603, { gaps: { 6: 2.2 } })), await check(speckled(603, { gaps: { 6: 2.2 } }, 24))];
    expect(kindsOf(dusty)).toEqual(['lasting-specks']);
    expect(dusty.verdict.decision).toBe(clean.verdict.decision);
    // Twice the usual error of a step (design, section 2: 2 % at most).
    dusty.steps.forEach((step, i) => expect(Math.abs(step.stepDof! / clean.steps[i].stepDof! - 1)).toBeLessThan(0.04));
  }, 300_000);
});
