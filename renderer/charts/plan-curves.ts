import type { PlanRequest } from '../../src/contract/plan.js';
import { planAperture } from '../../src/optics/plan-aperture.js';
import { PUPIL_RATIO_RANGE } from '../../src/optics/pupil-ratio.js';

/** One aperture: what it resolves and how deep it is sharp, both in µm on the subject. */
export interface PlanPoint { fNumber: number; resolvedUm: number; dofUm: number; /** Depth of field at the ends of an unknown pupil ratio. */ dofRangeUm: [number, number] | null }

const POINTS = 80;

/**
 * Both sides of the bargain over apertures: closing down gains depth and, from some aperture on, loses detail.
 * @param from @param to marked f-numbers, above 0
 */
export function planCurves(request: PlanRequest, from: number, to: number): PlanPoint[] {
  return Array.from({ length: POINTS + 1 }, (_, i) => {
    const fNumber = from * (to / from) ** (i / POINTS), { resolvedUm, dofUm } = planAperture(request, fNumber);
    const ends = request.pupilRatio === null ? PUPIL_RATIO_RANGE.map((pupilRatio) => planAperture({ ...request, pupilRatio }, fNumber).dofUm) : null;
    return { fNumber, resolvedUm, dofUm, dofRangeUm: ends && [Math.min(...ends), Math.max(...ends)] };
  });
}
