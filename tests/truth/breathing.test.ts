import { describe, expect, it } from 'vitest';
import { checkStack } from '../helpers/score/check-stack.js';
import { cachedStack } from '../helpers/stack/cached-stack.js';

// Truth: the renderer made the picture 0.8 % larger from the ninth frame on; a step of 0.6 λ/NA² at 1×, f/8 explains 0.5 %. Another lens setting (1 % and more beyond the
// step) would be a folder of two stacks; this much a rail can't tell from its own step, and the verdict stands.
describe('a lens that breathes', () => {
  it('makes growth contradict focus at that step, and the report says so there and nowhere else', async () => {
    const { folder, truth } = await cachedStack('breathing', 799), report = await checkStack(folder, truth);
    const said = report.findings.filter(({ kind }) => kind.startsWith('growth') || kind === 'magnification-jump');
    expect(said.map(({ kind, frames }) => [kind, ...frames])).toEqual([['growth-disagrees', 7, 8]]);
    expect(said[0].severity).toBe('warn');
    expect(['keep', 'top-up']).toContain(report.verdict.decision);
  }, 240_000);
  it('is not suspected where the rail alone made the picture grow', async () => {
    const { folder, truth } = await cachedStack('plane', 104), report = await checkStack(folder, truth);
    expect(report.findings.filter(({ kind }) => kind.startsWith('growth'))).toEqual([]);
  }, 240_000);
});
