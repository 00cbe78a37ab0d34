import { describe, expect, it } from 'vitest';
import { checkStack } from '../helpers/score/check-stack.js';
import { cachedStack } from '../helpers/stack/cached-stack.js';

async function check(name: string, seed: number) {
  const { folder, truth } = await cachedStack(name, seed);
  return { report: await checkStack(folder, truth), truth };
}

// Truth: which frames the renderer smeared, and its own steps.
describe('stacks with shaken frames', () => {
  it('whose frames were all shaken, each differently, are undecided', async () => {
    for (const seed of [780, 781]) expect((await check('all-shaken', seed)).report.verdict).toMatchObject({ decision: 'undecided' });
  }, 240_000);

  it('are kept where the frames beside the shaken one all but touch without it, and say so', async () => {
    const { report, truth } = await check('shaken', 642), at = truth.depthOrder.indexOf(truth.blurred![0]);
    const without = (truth.stepsUm[at - 1] + truth.stepsUm[at]) / truth.dofUm;
    expect(without).toBeGreaterThan(1);
    expect(without).toBeLessThan(1.15);
    expect(report.verdict.decision).toBe('keep');
    expect(report.findings.map(({ kind }) => kind)).toEqual(expect.arrayContaining(['blurred', 'barely-missing-band']));
  }, 240_000);

  it('ask for it again where they stand apart', async () => {
    const { report, truth } = await check('shaken', 643), at = truth.depthOrder.indexOf(truth.blurred![0]);
    expect((truth.stepsUm[at - 1] + truth.stepsUm[at]) / truth.dofUm).toBeGreaterThan(1.15);
    expect(report.verdict.decision).toBe('top-up');
    expect(report.topUp).toHaveLength(1);
  }, 240_000);

  // Smeared by more than the finest detail's period, it fits none of the tiles it should show sharp, and they were left out in its stead.
  it('find a strongly shaken frame, which no tile near it can be reconciled with', async () => {
    const { report, truth } = await check('shaken', 647);
    expect(report.stack.frames.flatMap(({ flags }, i) => (flags.includes('blurred') ? [i] : []))).toEqual(truth.blurred);
    expect(report.verdict.decision).toBe('top-up');
  }, 240_000);
});
