import { beforeAll, describe, expect, it } from 'vitest';
import type { Report } from '../../src/contract/report.js';
import { openFolder } from '../../src/io/open-folder.js';
import { startKernels } from '../../src/io/start-kernels.js';
import type { AnalyseRequest } from '../../src/pipeline/analyse-request.js';
import { makeReport } from '../../src/pipeline/make-report.js';
import { regrade, regradeAtOnce } from '../../src/pipeline/regrade.js';
import { solveStack, type SolvedStack } from '../../src/pipeline/solve-stack.js';
import { packStack, unpackStack } from '../../src/serve/analysis/packed-stack.js';

const under = (fNumber: number): AnalyseRequest => ({
  rig: { magnification: { value: 5, source: 'option' }, fNumber: { value: fNumber, source: 'option' }, pixelPitchUm: { value: 3.9, source: 'option' } }, overlap: 0.3, outputWidthPx: null,
});
/** Ratio of the two reports' steps, the middle one: the whole ladder's length, insensitive to single steps. */
function lengthRatio(a: Report, b: Report): number {
  const ratios = a.steps.map((step, i) => step.stepDof! / b.steps[i].stepDof!).sort((x, y) => x - y);
  return ratios[Math.floor(ratios.length / 2)];
}

/** What is expected is a fresh check of the same frames under the other aperture: both must read the frames alike. */
describe('judging the sample stack under f/4 after it was solved under f/2.8', () => {
  let first: SolvedStack, fresh: Report;
  beforeAll(async () => {
    await startKernels();
    const source = await openFolder('sample-frames/quartz-druse');
    first = await solveStack(source, under(2.8));
    fresh = makeReport(await solveStack(source, under(4)), under(4));
  }, 120_000);

  it('refined, gives the steps of a fresh check within 4 % (twice a step’s own scale error)', () => {
    const before = JSON.stringify(makeReport(first, under(2.8)));
    const refined = regrade(unpackStack(structuredClone(packStack(first)!)), under(4));
    expect(Math.abs(lengthRatio(refined, fresh) - 1)).toBeLessThan(0.04);
    expect(refined.verdict.decision).toBe(fresh.verdict.decision);
    // The first solution is not worn away by it.
    expect(JSON.stringify(makeReport(first, under(2.8)))).toBe(before);
  });

  it('at once, reads the measured curves by the other lens’s: steps within 8 % of a fresh check, and the optics exact', () => {
    const quick = regradeAtOnce(first, under(4));
    expect(Math.abs(lengthRatio(quick, fresh) - 1)).toBeLessThan(0.08);
    // 0.55 µm / NA² with N_eff = 4 (1 + 5) = 24, NA = 5/48: optics-reference, formulas; the report's DOF is the wave DOF times the standard's factor for the pixels.
    expect(quick.optics.numericalAperture.value).toBeCloseTo(5 / 48, 9);
    expect(quick.optics.dofUm.value).toBe(fresh.optics.dofUm.value);
  });

  it('at once, reads them within 3 % where the other lens is the better one', async () => {
    const better = makeReport(await solveStack(await openFolder('sample-frames/quartz-druse'), under(2)), under(2));
    expect(Math.abs(lengthRatio(regradeAtOnce(first, under(2)), better) - 1)).toBeLessThan(0.03);
  });
});
