import { describe, expect, it } from 'vitest';
import type { Coverage } from '../../src/diagnosis/coverage.js';
import { bandFindings, decide, type Evidence } from '../../src/diagnosis/decide.js';
import { missingBands, type MissingBand } from '../../src/diagnosis/missing-bands.js';
import type { StackPicture } from '../../src/diagnosis/stack-picture.js';
import { defocusedOtf } from '../../src/optics/defocused-otf.js';

const GOOD = { grade: 'good', atLeast: false } as const;

/** Three frames, the middle one blurred, whose neighbours stand this far apart; 1 % of the picture lies soft between them. */
function bandsWithout(stepDof: number): MissingBand[] {
  const picture = { order: [0, 1, 2], position: Float64Array.of(0, stepDof / 2, stepDof), blurred: [false, true, false] } as unknown as StackPicture;
  return missingBands(picture, { softShare: Float64Array.of(0.006, 0.004) } as unknown as Coverage, [GOOD, GOOD]);
}
const evidence = (bands: MissingBand[]): Evidence => ({ frames: 3, labels: ['1', '2', '3'], steps: [], bands, openEnds: [], moved: [], topUpFrames: 1, dofUm: null, scaleSigma: 0 });

describe('a blurred frame', () => {
  it('is to be shot again where its neighbours stand clearly apart', () => {
    expect(decide(evidence(bandsWithout(1.3))).decision).toBe('top-up');
  });
  it('costs no verdict, but is told of, where they all but touch', () => {
    const bands = bandsWithout(1.08);
    expect(decide(evidence(bands)).decision).toBe('keep');
    expect(decide(evidence(bands)).reasons.join(' ')).toContain('2 is blurred, and without it the step between 1 and 3 is 1.08');
    expect(bandFindings(evidence(bands)).map(({ kind, severity }) => [kind, severity])).toEqual([['barely-missing-band', 'warn']]);
  });
  it('is no matter where they overlap', () => {
    expect(bandsWithout(0.96)).toEqual([]);
  });
  // Standard: 0.8 of the in-focus contrast of detail at 0.3 of the cutoff, half a DOF from focus. 1.0108 λ/NA² a DOF, W = Δz/2 waves (optics-reference).
  it('is not needed as long as detail between its neighbours keeps 0.74 of its contrast', () => {
    const kept = (stepDof: number): number => defocusedOtf(0.3, (stepDof * 1.0108) / 4) / defocusedOtf(0.3, 0);
    expect(kept(1)).toBeCloseTo(0.8, 3);
    expect(kept(1.15)).toBeCloseTo(0.742, 3);
  });
});
