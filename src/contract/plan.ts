/** What to shoot, worked out before shooting: schema rungwise.plan/1. Field names are fixed. */
import type { OpticsReport } from './report.js';

export const PLAN_SCHEMA = 'rungwise.plan/1';

/** What a plan is made from. Lengths on the subject's side in µm. */
export interface PlanRequest {
  magnification: number;
  fNumber: number;
  /** Null: not measured. The plan then assumes 1 and shows what 0.5 and 2 would mean. */
  pupilRatio: number | null;
  pixelPitchUm: number;
  /** Null: 550 nm. */
  wavelengthNm: number | null;
  /** From the nearest to the farthest point that must be sharp. */
  depthUm: number;
  /** Overlap of neighbouring rungs, 0 … 0.9. */
  overlap: number;
  /** Width of a frame as shot; needed only with an output width. */
  frameWidthPx: number | null;
  /** Width of the final picture; null: every pixel counts. */
  outputWidthPx: number | null;
  /** Travel of one rail unit. */
  railUnitUm: number | null;
  /** Front of the lens to the nearest point of the subject, with that point in focus. */
  workingDistanceMm: number | null;
}

/** One row of the aperture trade-off. */
export interface PlanAperture {
  fNumber: number;
  effectiveFNumber: number;
  dofUm: number;
  stepUm: number;
  frames: number;
  /** Diameter of the Airy disc in pixels of the picture that is judged. */
  airyDiameterPx: number;
  /** Finest detail on the subject that the picture separates. */
  resolvedUm: number;
  limitedBy: 'diffraction' | 'pixels';
}

/** The step a rail that moves in whole units can make. */
export interface WholeUnits { units: number; stepUm: number; overlap: number; frames: number }

export interface PupilRatioCase { pupilRatio: number; effectiveFNumber: number; dofUm: number; stepUm: number; frames: number }

export interface Plan {
  schema: typeof PLAN_SCHEMA;
  optics: OpticsReport;
  dofUm: number;
  /** From one frame to the next. */
  stepUm: number;
  /** The first is focused on the nearest point, the last on the farthest or just behind it. */
  frames: number;
  /** Rail units per step, not rounded; null without a rail unit. */
  railUnits: number | null;
  apertures: PlanAperture[];
  /** Front of the lens to the subject's nearest point when the camera has gone all the way in; null without a working distance. */
  clearanceMm: number | null;
  cautions: string[];

  depthUm: number;
  overlap: number;
  /** From the first frame to the last. */
  travelUm: number;
  outputWidthPx: number | null;
  wholeUnits: WholeUnits | null;
  /** Closing down to here costs no detail in the picture that is judged; beyond, every stop costs detail. */
  freeToFNumber: number;
  /** Present where the pupil ratio was assumed. */
  pupilRatioRange: PupilRatioCase[] | null;
}
