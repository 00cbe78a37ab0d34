import { UserError } from '../contract/errors.js';
import { PLAN_SCHEMA, type Plan, type PlanRequest, type PupilRatioCase, type WholeUnits } from '../contract/plan.js';
import type { OpticsReport } from '../contract/report.js';
import { CARE_CAUTION, ONE_SIDE_ADVICE, clearanceCautions } from './cautions.js';
import { effectiveFNumber } from './effective-f-number.js';
import { framesForDepth } from './frames-for-depth.js';
import { numericalAperture } from './numerical-aperture.js';
import { freeToFNumber, planAperture } from './plan-aperture.js';
import { DEFAULT_PUPIL_RATIO, PUPIL_RATIO_RANGE } from './pupil-ratio.js';
import { checkPlanRequest, LARGEST_EFFECTIVE_F_NUMBER } from './plan-limits.js';
import { gradeOfOverlap } from './step-grade.js';
import { DEFAULT_WAVELENGTH_NM } from './wave-depth-of-field.js';

/** The full stops lenses are marked with. */
const MARKED_STOPS = [1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22];

/**
 * Step, frame count and aperture trade-off for a depth, before shooting.
 *
 * @param request see {@link PlanRequest}
 * @throws UserError where the set-up is beyond what a lens or a bench can do, naming the value to change
 */
export function makePlan(request: PlanRequest): Plan {
  checkPlanRequest(request);
  const chosen = planAperture(request, request.fNumber);
  const travelUm = (chosen.frames - 1) * chosen.stepUm;
  if (request.workingDistanceMm !== null && travelUm / 1000 >= request.workingDistanceMm) {
    throw new UserError(
      `The travel of ${(travelUm / 1000).toFixed(2)} mm is longer than the working distance of ${request.workingDistanceMm} mm: the lens would run into the subject.`,
      'Check --depth-um and --working-distance, or shoot the depth in parts from different sides.');
  }
  const wholeUnits = request.railUnitUm === null ? null : wholeUnitsFor(request, chosen.dofUm, chosen.stepUm, request.railUnitUm);
  return {
    schema: PLAN_SCHEMA,
    optics: opticsOf(request, chosen.dofUm),
    dofUm: chosen.dofUm,
    stepUm: chosen.stepUm,
    frames: chosen.frames,
    railUnits: request.railUnitUm === null ? null : chosen.stepUm / request.railUnitUm,
    apertures: stopsAround(request).map((fNumber) => planAperture(request, fNumber)),
    clearanceMm: request.workingDistanceMm === null ? null : request.workingDistanceMm - travelUm / 1000,
    cautions: cautionsFor(request, travelUm, chosen.frames, wholeUnits),
    depthUm: request.depthUm,
    overlap: request.overlap,
    travelUm,
    outputWidthPx: request.outputWidthPx,
    wholeUnits,
    freeToFNumber: freeToFNumber(request),
    pupilRatioRange: request.pupilRatio === null ? PUPIL_RATIO_RANGE.map((ratio) => caseFor(request, ratio)) : null,
  };
}

/** The marked stops whose effective aperture stays within reason, and the chosen one among them. */
function stopsAround(request: PlanRequest): number[] {
  const pupilRatio = request.pupilRatio ?? DEFAULT_PUPIL_RATIO;
  const stops = MARKED_STOPS.filter((n) => Math.abs(n / request.fNumber - 1) > 0.03).concat(request.fNumber);
  return stops.sort((a, b) => a - b).filter((n) => effectiveFNumber(n, request.magnification, pupilRatio) <= LARGEST_EFFECTIVE_F_NUMBER);
}

/** Whole units are rounded down, so that the overlap asked for is kept; one unit is the least a rail can move. */
function wholeUnitsFor(request: PlanRequest, dofUm: number, stepUm: number, railUnitUm: number): WholeUnits {
  const units = Math.max(1, Math.floor(stepUm / railUnitUm + 1e-9));
  const wholeUm = units * railUnitUm;
  return { units, stepUm: wholeUm, overlap: 1 - wholeUm / dofUm, frames: framesForDepth(request.depthUm, wholeUm) };
}

function caseFor(request: PlanRequest, pupilRatio: number): PupilRatioCase {
  const { effectiveFNumber: effective, dofUm, stepUm, frames } = planAperture({ ...request, pupilRatio }, request.fNumber);
  return { pupilRatio, effectiveFNumber: effective, dofUm, stepUm, frames };
}

function opticsOf(request: PlanRequest, dofUm: number): OpticsReport {
  const pupilRatio = request.pupilRatio ?? DEFAULT_PUPIL_RATIO;
  const effective = effectiveFNumber(request.fNumber, request.magnification, pupilRatio);
  return {
    magnification: { value: request.magnification, source: 'option' },
    fNumber: { value: request.fNumber, source: 'option' },
    pupilRatio: { value: pupilRatio, source: request.pupilRatio === null ? 'default' : 'option' },
    pixelPitchUm: { value: request.pixelPitchUm, source: 'option' },
    wavelengthNm: { value: request.wavelengthNm ?? DEFAULT_WAVELENGTH_NM, source: request.wavelengthNm === null ? 'default' : 'option' },
    effectiveFNumber: { value: effective, source: 'derived' },
    numericalAperture: { value: numericalAperture(request.magnification, effective), source: 'derived' },
    dofUm: { value: dofUm, source: 'derived' },
  };
}

function cautionsFor(request: PlanRequest, travelUm: number, frames: number, wholeUnits: WholeUnits | null): string[] {
  const cautions = clearanceCautions(travelUm, request.workingDistanceMm);
  if (wholeUnits !== null && gradeOfOverlap(wholeUnits.overlap) === 'gap') {
    cautions.push(`One rail unit of ${request.railUnitUm} µm is longer than the depth of field: whole units leave gaps. Divide the unit, or close the aperture.`);
  } else if (wholeUnits !== null && wholeUnits.overlap < request.overlap - 1e-9) {
    cautions.push(`One rail unit of ${request.railUnitUm} µm is longer than the step asked for: whole units overlap by ${Math.round(wholeUnits.overlap * 100)} % only.`);
  }
  if (request.pupilRatio === null) {
    cautions.push('The pupil ratio was assumed to be 1. A lens that differs changes the depth of field several-fold: measure it before a long stack.');
  }
  if (frames > 500) cautions.push(`${frames} frames are a long stack: check that nothing warms, dries or settles meanwhile, or work at a smaller magnification.`);
  cautions.push(ONE_SIDE_ADVICE, CARE_CAUTION);
  return cautions;
}
