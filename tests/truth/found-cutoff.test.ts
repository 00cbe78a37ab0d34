import { readFile } from 'node:fs/promises';
import { describe, expect, it } from 'vitest';
import { analyse } from '../../src/pipeline/analyse.js';
import { solveStack } from '../../src/pipeline/solve-stack.js';
import { cutoffPerPixel } from '../helpers/render/lens.js';
import { inProcessSource } from '../helpers/score/in-process-source.js';
import { planCase } from '../helpers/stack/all-cases.js';
import { cachedStack } from '../helpers/stack/cached-stack.js';
import type { StackTruth } from '../helpers/stack/stack-truth.js';

describe('unknown optics', () => {
  // Truth: the sample's own, written beside it by the renderer: one step of 1.9 DOF with a surface in it, one of 1.8 with none; the rest are near 0.6.
  it('find in the sample the one band that is missing, and call the other harmless', async () => {
    const report = await analyse(await inProcessSource('sample-frames/quartz-druse'), { rig: {}, overlap: 0.3, outputWidthPx: null });
    const truth = JSON.parse(await readFile('sample-frames/quartz-druse.truth.json', 'utf8')) as StackTruth;
    expect(report.topUp.flatMap(({ positionsDof }) => positionsDof)).toHaveLength(2);
    report.steps.forEach(({ stepDof }, i) => expect(Math.abs(stepDof! / (truth.stepsUm[i] / truth.dofUm) - 1)).toBeLessThan(0.15));
  }, 240_000);

  // Truth: the renderer's lens. On 24 rendered stacks the logarithm of the cutoff was off by 0.16 (root of the mean square).
  it.each([['plane', 100], ['plane', 105]])('give the cutoff of %s %i within a third by the frames alone', async (name, seed) => {
    const { folder } = await cachedStack(name, seed);
    const solved = await solveStack(await inProcessSource(folder), { rig: {}, overlap: 0.3, outputWidthPx: null });
    const ratio = solved.cutoffFound!.cutoff / cutoffPerPixel(planCase(name, seed).lens);
    expect(ratio).toBeGreaterThan(0.75);
    expect(ratio).toBeLessThan(1.33);
  }, 240_000);

  // Truth: the renderer's own steps, 0.5 to 0.6 λ/NA², a third of that in depths of field of a picture made four times smaller: no frame is missing, and no place ever far out of focus.
  it('leave no doubt of a shallow stack made much smaller', async () => {
    const { folder } = await cachedStack('downsized-wide', 709);
    const report = await analyse(await inProcessSource(folder), { rig: {}, overlap: 0.3, outputWidthPx: null });
    expect(report.verdict.decision).toBe('keep');
  }, 240_000);

  // Truth: the renderer's steps, 1.6 λ/NA² once and 0.6 to 0.71 else; a cutoff several times too high would make gaps of them all.
  it('don’t make gaps of the good steps of a small aperture', async () => {
    const { folder, truth } = await cachedStack('small-aperture', 715);
    const report = await analyse(await inProcessSource(folder), { rig: {}, overlap: 0.3, outputWidthPx: null });
    const long = truth.stepsUm.flatMap((step, i) => (step / truth.dofUm > 1 ? [i] : []));
    expect(report.steps.flatMap(({ grade }, i) => (grade === 'gap' ? [i] : []))).toEqual(long);
  }, 240_000);

  // Truth: the renderer's own steps. How well the lens is known says nothing of how well each step was seen.
  it('measure the steps of a stack whose lens they tell to a quarter only', async () => {
    const { folder, truth } = await cachedStack('optics-unknown', 697);
    const report = await analyse(await inProcessSource(folder), { rig: {}, overlap: 0.3, outputWidthPx: null });
    expect(report.scaleSigma).toBeGreaterThan(0.15);
    // Nothing was in focus in its last frame.
    expect(report.steps.filter(({ grade, surfaceShare }) => grade === 'unmeasured' && surfaceShare > 0)).toEqual([]);
    const ratios = report.steps.map(({ stepDof }, i) => stepDof! / (truth.stepsUm[i] / truth.dofUm)), usual = ratios.slice().sort((a, b) => a - b)[ratios.length >> 1];
    report.steps.forEach(({ sigmaDof, stepDof }, i) => {
      expect(sigmaDof!).toBeLessThan(0.25 * stepDof!);
      expect(Math.abs(ratios[i] / usual - 1)).toBeLessThan(0.1);
    });
  }, 240_000);
});
