import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { quantile } from '../helpers/score/accuracy-table.js';
import { checkStack } from '../helpers/score/check-stack.js';
import { scoreReport, type StackScore } from '../helpers/score/score-report.js';
import { fieldBase } from '../helpers/stack/field-base.js';
import { writeStack } from '../helpers/stack/write-stack.js';

// The short form of `npm run accuracy`: small stacks, so that it runs with every test. Expected values are the renderer's own
// depths; the renderer is checked against printed tables in tests/helpers/render.

const SIZE = { rows: 448, columns: 928 }, FRAMES = 13;
const STACKS = [['plane', 103], ['relief', 408], ['dome', 205]] as const; // odd seeds have a gap
const scores: StackScore[] = [];
let parent = '';

beforeAll(async () => {
  parent = await mkdtemp(path.join(tmpdir(), 'rungwise-truth-'));
  for (const [surface, seed] of STACKS) {
    const { stack } = fieldBase({ name: surface, seed, surface, frames: FRAMES, picture: SIZE });
    const truth = await writeStack(stack, parent);
    scores.push(scoreReport(await checkStack(path.join(parent, stack.name), truth), truth));
  }
});
afterAll(() => rm(parent, { recursive: true, force: true }));

describe('small tripod stacks of known depth', () => {
  it('get the right verdict, every gap and none that is not there', () => {
    expect(scores.flatMap((s) => s.problems)).toEqual([]);
    expect(scores.reduce((n, s) => n + s.gaps, 0)).toBeGreaterThan(0);
  });

  // Twice the full table's targets (1 % and 5 %): a third of its picture has √3 times its scatter, and 36 steps a rough quantile.
  it('have their steps measured', () => {
    const errors = scores.flatMap((s) => s.stepErrors);
    expect(errors.length).toBeGreaterThan(24);
    expect(quantile(errors, 0.5)).toBeLessThan(0.02);
    expect(quantile(errors, 0.95)).toBeLessThan(0.1);
  });

  it('state sigmas that cover the truth', () => {
    const pulls = scores.flatMap((s) => s.pulls);
    // Two sigma must hold for 90 % of the intervals in the full table; of 36, four may lie outside by chance (binomial, 5 %).
    expect(pulls.filter((p) => Math.abs(p) > 2).length).toBeLessThanOrEqual(5);
  });
});
