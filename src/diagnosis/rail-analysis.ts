import { RAIL_SCHEMA, type RailReport, type RailRequest } from '../contract/rail.js';
import type { Report } from '../contract/report.js';
import { median, robustSpread } from '../ladder/statistics.js';
import { listed } from '../optics/listed.js';
import { CARE_CAUTION, CLEARANCE_CAUTION } from '../optics/cautions.js';
import { frameLabels } from '../optics/frame-labels.js';
import { railDrift } from './rail-drift.js';
import { fitRail, type RailFit } from './rail-fit.js';
import { railPeriodic } from './rail-periodic.js';
import { railShots, type MissingShots } from './rail-shots.js';
import { dofFromTiltUm, railTarget, type RailTarget } from './rail-target.js';

/** With fewer placed frames neither step nor slack can be told. */
const LEAST_FRAMES = 5;
/** Systematic part of a measured step (design: 2 %), and an angle set by hand (1°; common practice, no source). */
const SYSTEMATIC = 0.02;
const TILT_SIGMA_RAD = Math.PI / 180;
/** Frames off the even steps by more robust deviations than this say nothing of drift and screw. */
const OUT_OF_LINE = 4;
/** Steps longer than this are measured from the foot of the focus curves. */
const LONG_STEP_DOF = 1.5;
/** A target that is less flat than this is a subject. */
const FLAT_DOF = 0.6;

/**
 * What the rail did, from the report of a stack of a flat, tilted target (any stack gives the step, with more uncertainty).
 * Frames count in the order they were shot: file order. Frames that are missing are allowed for where the file names tell.
 */
export function analyseRail(report: Report, request: RailRequest): RailReport {
  const placed = report.stack.frames.flatMap((frame, index) => (frame.positionDof === null ? [] : [{ index, dof: frame.positionDof }]));
  const target = railTarget(report.tiles);
  const scale = scaleOf(report, request, target);
  const shots = placed.length < LEAST_FRAMES ? null : railShots(report.stack.frames.map(({ file }) => file), placed);
  const fit = shots && fitRail(placed.map(({ dof }) => dof), shots.shot);
  const um = (dof: number | null): number | null => (dof === null || scale.dofUm === null ? null : dof * scale.dofUm);
  if (!shots || !fit) return { ...nothing(report, request, target, scale), cautions: [tooFew(placed.length), CLEARANCE_CAUTION, CARE_CAUTION] };
  const run = longestRun(fit).filter((k) => isInLine(fit, k));
  const travel = run.map((k) => fit.travel[k]), level = run.map((k) => fit.expected[k] + fit.residual[k] - slipsBefore(fit, k));
  // A subject of several depths bends the measured steps a little; only a flat target tells of drift.
  const drift = target !== null && target.flatnessDof <= FLAT_DOF ? railDrift(travel, level) : null;
  const periodic = railPeriodic(travel, run.map((k) => Math.sign(fit.step) * fit.residual[k]));
  const step = Math.abs(fit.step), single = singleSteps(fit);
  const measurement = measurementDof(report);
  const slack = slackOf(fit);
  const measuredUm = um(step);
  const relative = scale.from === 'tilt' ? (TILT_SIGMA_RAD * 2) / Math.sin((2 * (request.tiltDeg ?? 45) * Math.PI) / 180) : SYSTEMATIC;
  return {
    schema: RAIL_SCHEMA, commandedUm: request.commandedUm, measuredUm,
    measuredSigmaUm: um(Math.hypot(fit.stepSigma, relative * step)), measuredDof: step,
    scatterUm: um(robustSpread(single)), measurementUm: um(measurement),
    slackUm: um(slack.length), slackAt: slack.at, slackSigmaUm: um(Math.hypot(slack.sigma, measurement ?? 0)),
    drift: drift?.drift ?? 0, driftSigma: drift?.sigma ?? null,
    periodic: periodic && scale.dofUm !== null ? { periodUm: periodic.period * step * scale.dofUm, amplitudeUm: periodic.amplitude * scale.dofUm, phaseDeg: periodic.phaseDeg } : null,
    slips: scale.dofUm === null ? [] : fit.slips.map(({ after, length }) => ({ afterFrame: placed[after].index, um: length * Math.sign(fit.step) * scale.dofUm! })),
    missing: shots.missing,
    railUnitUm: measuredUm !== null && request.unitsPerFrame !== null ? measuredUm / request.unitsPerFrame : null,
    flatnessUm: um(target?.flatnessDof ?? null), scaleFrom: scale.from, frames: placed.length,
    chart: scale.dofUm === null ? [] : placed.map(({ index, dof }, k) => ({ frame: index, measuredUm: dof * scale.dofUm!, sigmaUm: um(report.stack.frames[index].positionSigmaDof), expectedUm: fit.expected[k] * scale.dofUm! })),
    cautions: [...missingShotsWords(shots.missing, report), ...cautionsFor(report, request, fit, target, scale)],
  };
}

interface Scale { dofUm: number | null; from: RailReport['scaleFrom'] }

/** The target's tilt is a ruler in the picture; without it the length of a DOF follows from the optics. */
function scaleOf(report: Report, request: RailRequest, target: RailTarget | null): Scale {
  const { magnification, pixelPitchUm, dofUm } = report.optics;
  if (request.tiltDeg !== null && request.tiltDeg > 0 && target && target.slopeDofPerPx > 0 && magnification.value !== null && pixelPitchUm.value !== null) {
    return { dofUm: dofFromTiltUm(target.slopeDofPerPx, request.tiltDeg, magnification.value, pixelPitchUm.value), from: 'tilt' };
  }
  return dofUm.value === null ? { dofUm: null, from: 'unknown' } : { dofUm: dofUm.value, from: 'optics' };
}

/** Frames between turns in which the carriage moves with the screw: the longest such stretch. */
function longestRun(fit: RailFit): number[] {
  const ends = [0, ...fit.turns, fit.travel.length - 1];
  const runs = ends.slice(1).map((end, i) => {
    const run: number[] = [];
    for (let k = ends[i]; k <= end; k++) {
      const way = k === 0 ? 1 : Math.abs(fit.travel[k] - fit.travel[k - 1]);
      if (way > 0.999) run.push(k);
    }
    return run;
  });
  return runs.reduce((a, b) => (b.length > a.length ? b : a));
}

/** Frames with little in focus, at the ends of a curved subject, would bend the whole. */
function isInLine(fit: RailFit, k: number): boolean {
  return Math.abs(fit.residual[k]) <= OUT_OF_LINE * Math.max(robustSpread(fit.residual), 1e-9);
}

/** Steps in which the whole way of the screw reached the carriage, slips left out. */
function singleSteps(fit: RailFit): number[] {
  const slipped = new Set(fit.slips.map(({ after }) => after));
  return fit.travel.slice(1).flatMap((u, i) => {
    const way = u - fit.travel[i];
    // Where a frame is missing, two moves can't be told apart.
    if (Math.abs(Math.abs(way) - 1) > 0.001 || slipped.has(i)) return [];
    return [Math.sign(way) * (fit.expected[i + 1] + fit.residual[i + 1] - fit.expected[i] - fit.residual[i])];
  });
}

/** Random part of a step's sigma: its systematic two per cent are the same for all. */
function measurementDof(report: Report): number | null {
  const sigmas = report.steps.flatMap(({ stepDof, sigmaDof }) => (stepDof === null || sigmaDof === null ? [] : [Math.sqrt(Math.max(0, sigmaDof ** 2 - (SYSTEMATIC * stepDof) ** 2))]));
  return sigmas.length > 0 ? median(sigmas) : null;
}

function slackOf(fit: RailFit): { length: number; sigma: number; at: 'start' | 'turn' } {
  return fit.turnSlack === null ? { length: fit.startSlack, sigma: fit.startSlackSigma, at: 'start' } : { length: fit.turnSlack, sigma: fit.turnSlackSigma ?? 0, at: 'turn' };
}

const slipsBefore = (fit: RailFit, k: number): number => fit.slips.reduce((sum, slip) => sum + (slip.after < k ? slip.length : 0), 0);

function nothing(report: Report, request: RailRequest, target: RailTarget | null, scale: Scale): RailReport {
  return {
    schema: RAIL_SCHEMA, commandedUm: request.commandedUm, measuredUm: null, measuredSigmaUm: null, measuredDof: null, scatterUm: null, measurementUm: null,
    slackUm: null, slackAt: null, slackSigmaUm: null, drift: 0, driftSigma: null, periodic: null, slips: [], missing: [], railUnitUm: null,
    flatnessUm: target && scale.dofUm !== null ? target.flatnessDof * scale.dofUm : null, scaleFrom: scale.from,
    frames: report.stack.frames.length, chart: [], cautions: [],
  };
}

function tooFew(placed: number): string {
  return placed < LEAST_FRAMES
    ? `Only ${placed} ${placed === 1 ? 'frame' : 'frames'} could be placed; the rail cannot be told from fewer than ${LEAST_FRAMES}. Shoot 20 or more of a flat target with fine texture, tilted so that its depth runs through all of them.`
    : 'The frames all stand at one place: the rail did not move, or its steps are far below the depth of field.';
}

/** Frame numbers are a hint that may mislead, so what was made of them is said. */
function missingShotsWords(missing: readonly MissingShots[], report: Report): string[] {
  const labels = frameLabels(report.stack.frames.map((frame) => frame.file));
  return missing.map(({ afterFrame, count, moved }) => {
    const frames = `${count} ${count === 1 ? 'frame' : 'frames'} after ${labels[afterFrame]} ${count === 1 ? 'is' : 'are'} missing by the file numbers`;
    return moved
      ? `${frames}: the rail was taken to have moved for ${count === 1 ? 'it' : 'them'} too, which agrees with the jump in depth there.`
      : `${frames}, but the jump in depth there is that of one move: the rail was taken to have stood still meanwhile.`;
  });
}

/** Which of the values are missing, by either way to lengths. */
function lengthsUnknown({ optics }: Report, request: RailRequest): string {
  const lacking = (options: readonly (readonly [string, boolean])[]): string[] => options.flatMap(([option, given]) => (given ? [] : [option]));
  const magnification = ['--magnification', optics.magnification.value !== null] as const;
  const byOptics = lacking([magnification, ['--aperture', optics.fNumber.value !== null]]), byTilt = lacking([magnification, ['--pixel-pitch', optics.pixelPitchUm.value !== null], ['--tilt', request.tiltDeg !== null && request.tiltDeg > 0]]);
  const instead = byTilt.length === 0 || byTilt.join() === byOptics.join() ? '' : `; or ${listed(byTilt)}, and the target’s angle becomes the ruler`;
  return `Lengths are not known in µm. Missing: ${listed(byOptics)}${instead}.`;
}

function cautionsFor(report: Report, request: RailRequest, fit: RailFit, target: RailTarget | null, scale: Scale): string[] {
  const cautions: string[] = [], { dofUm } = report.optics;
  if (scale.from === 'unknown') cautions.push(lengthsUnknown(report, request));
  if (scale.from === 'optics' && report.optics.pupilRatio.source === 'default') cautions.push('The pupil ratio was assumed to be 1; with another one every length here is wrong by as much as the depth of field. Give the target’s angle (--tilt), and lengths come from the picture itself.');
  if (scale.from === 'optics' && report.optics.pixelPitchUm.source === 'default') cautions.push(`The pixel pitch was assumed to be ${report.optics.pixelPitchUm.value} µm; give --pixel-pitch.`);
  if (scale.from === 'tilt' && dofUm.value !== null && Math.abs(scale.dofUm! / dofUm.value - 1) > 0.1) {
    cautions.push(`By the target’s tilt the depth of field is ${scale.dofUm!.toFixed(1)} µm, by the optics ${dofUm.value.toFixed(1)} µm: check the angle, the magnification, the aperture and the pupil ratio.`);
  }
  if (!target) cautions.push('Too little of the target could be measured to tell whether it is flat.');
  else if (target.flatnessDof > FLAT_DOF) cautions.push(`The target is not a plane (its surface is ${target.flatnessDof.toFixed(1)} DOF off). The step still holds, with more uncertainty; its tilt can’t serve as a ruler.`);
  if (Math.abs(fit.step) > LONG_STEP_DOF) cautions.push(`The step is ${Math.abs(fit.step).toFixed(1)} DOF; it is measured better with steps below 1 DOF.`);
  if (fit.travel.length < 12) cautions.push(`${fit.travel.length} frames give a rough figure; shoot 20 or more.`);
  if (fit.turnSlack === null && fit.startSlack < 2 * Math.max(fit.startSlackSigma, 0.02)) {
    cautions.push('No slack is seen at the start. That tells nothing of the rail where the slack was taken up before the first frame: shoot ten frames one way, turn, and shoot ten back.');
  }
  if (request.unitsPerFrame === null && request.commandedUm === null) cautions.push('Give the rail units moved per frame (--units), to find how long a unit really is.');
  return [...cautions, CLEARANCE_CAUTION, CARE_CAUTION];
}
