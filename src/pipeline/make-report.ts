import type { Direction, End, Finding, Frame, Report, Step } from '../contract/report.js';
import { REPORT_SCHEMA } from '../contract/report.js';
import { cannotTell } from '../diagnosis/cannot-tell.js';
import { coverage, type Coverage } from '../diagnosis/coverage.js';
import { bandFindings, decide, type Evidence } from '../diagnosis/decide.js';
import { faultFindings } from '../diagnosis/fault-findings.js';
import { focusCurves } from '../diagnosis/focus-curves.js';
import { frameFaults, REPEAT_DOF } from '../diagnosis/frame-faults.js';
import { gradeStep } from '../diagnosis/grade-step.js';
import { missingBands } from '../diagnosis/missing-bands.js';
import { missingNumbers } from '../diagnosis/missing-numbers.js';
import { HARMFUL_END_SHARE, OPEN_SHARE, openEnd, type OpenEnd } from '../diagnosis/open-ends.js';
import { planTopUp } from '../diagnosis/plan-top-up.js';
import { gradeInDoubt, scaleFinding, scaleUncertainty } from '../diagnosis/scale-doubt.js';
import { sourceFindings } from '../diagnosis/source-findings.js';
import type { StackPicture } from '../diagnosis/stack-picture.js';
import { tileDepths } from '../diagnosis/tile-depths.js';
import { tileMap } from '../diagnosis/tile-map.js';
import { ladderUnit } from '../ladder/ladder-unit.js';
import { median, robustSpread } from '../ladder/statistics.js';
import { frameLabels } from '../optics/frame-labels.js';
import { standardDofFactor } from '../optics/standard-depth-of-field.js';
import type { AnalyseRequest } from './analyse-request.js';
import { blankTiles, nothingPlaced, unplacedFrames } from './blank-report.js';
import { besideFocus, strangeFolder } from './folder-findings.js';
import { resolveOptics } from './resolve-optics.js';
import { FEWEST_FRAMES, type SolvedStack } from './solve-stack.js';
import { PROGRAM_VERSION } from '../contract/version.js';

const round = (value: number, digits = 4): number => Math.round(value * 10 ** digits) / 10 ** digits;

/** The report of a solved stack, under the request's rig, overlap and output size. Reads nothing, so it can be made again at once. */
export function makeReport(solved: SolvedStack, request: AnalyseRequest): Report {
  const optics = resolveOptics(request.rig, solved.facts);
  const outputBin = request.outputWidthPx ? Math.max(1, solved.columns / request.outputWidthPx) : 1;
  const outputCutoff = solved.cutoff * outputBin, factor = standardDofFactor(outputCutoff);
  const dofUm = optics.waveDofUm === null ? null : optics.waveDofUm * factor;
  if (dofUm !== null) optics.report.dofUm = { value: dofUm, source: 'derived' };
  const frames = unplacedFrames(solved.source.frames.map((frame) => frame.file), solved.leftOut), files = frames.map((frame) => frame.file), labels = frameLabels(files);
  const ofFiles = [...sourceFindings(solved.source.frames), ...missingNumbers(files, labels)];
  const base = {
    schema: REPORT_SCHEMA, version: PROGRAM_VERSION,
    optics: optics.report,
    timing: { totalMs: Math.round(solved.timing.totalMs), decodeMs: Math.round(solved.timing.decodeMs), cachedFrames: solved.timing.cachedFrames, frames: solved.measured.length, megapixels: round((solved.rows * solved.columns) / 1e6, 2) },
  } as const;
  const stackOf = (order: number[], direction: Direction): Report['stack'] => ({ folder: solved.source.folder, width: solved.columns, height: solved.rows, frames, order, direction });
  const picture = readPicture(solved, factor), strange = strangeFolder(solved, picture, labels);
  if (!picture) {
    const tooFew = solved.measured.length < FEWEST_FRAMES;
    if (!tooFew) for (const index of solved.measured) frames[index].flags.push('no-detail');
    return {
      ...base, ...nothingPlaced(), stack: stackOf(solved.measured.slice(), 'unknown'), findings: [...(strange ? [strange] : []), ...faultFindings(frames, solved.leftOut, []), ...ofFiles],
      verdict: { decision: 'undecided', reasons: [strange ? strange.message : tooFew ? TOO_FEW : NO_DETAIL] }, tiles: blankTiles(solved.stack.gridRows, solved.stack.gridColumns, solved.stack.tilePx * solved.plan.bin),
    };
  }
  const { order, position, uncertainty } = picture, toFrame = solved.measured;
  const scaleSigma = optics.cutoff === null && solved.cutoffFound ? scaleUncertainty(solved.plan, outputCutoff, solved.cutoffFound.sigmaLn) : 0;
  const cover = coverage(picture);
  const exposureEv = exposures(solved);
  const faults = frameFaults(picture, solved.transforms, exposureEv);
  order.forEach((k) => {
    const frame = frames[toFrame[k]], loss = solved.ladder!.blurLoss[k];
    const shift = solved.transforms[k];
    Object.assign(frame, {
      positionDof: round(position[k]), positionSigmaDof: round(uncertainty.between(order[0], k).sigma * picture.perUnit),
      positionUm: dofUm === null ? null : round(position[k] * dofUm, 3), exposureEv: round(exposureEv[k], 3),
      shiftPx: { row: round(shift.row * solved.plan.bin, 2), column: round(shift.column * solved.plan.bin, 2) },
      contrast: Number.isNaN(loss) ? 1 : round(Math.exp(loss), 3), flags: faults.flags[k],
    } satisfies Partial<Frame>);
  });
  const usualDof = median(order.slice(1).map((k, i) => position[k] - position[order[i]]).filter((step) => step > REPEAT_DOF));
  const measuredSteps = order.slice(1).map((k, i) => {
    const from = order[i], { sigma, tailsOnly } = uncertainty.between(from, k);
    const stepDof = position[k] - position[from], sigmaDof = sigma * picture.perUnit;
    return { from, to: k, stepDof, sigmaDof, ...gradeInDoubt(gradeStep(stepDof, sigmaDof, tailsOnly), stepDof, usualDof, scaleSigma) };
  });
  const steps = measuredSteps.map((step, i): Step => ({
    from: toFrame[step.from], to: toFrame[step.to], stepDof: round(step.stepDof), sigmaDof: round(step.sigmaDof), stepUm: dofUm === null ? null : round(step.stepDof * dofUm, 3),
    overlap: round(1 - step.stepDof), grade: step.grade, atLeast: step.atLeast, softAreaShare: round(cover.softShare[i], 5), surfaceShare: round(cover.surfaceShare[i], 5),
  }));
  const bands = missingBands(picture, cover, measuredSteps);
  const sides = [openEnd(picture, 0), openEnd(picture, 1)] as const;
  const direction = directionOf(solved, order);
  const names = direction === 'unknown' ? (['first', 'last'] as const) : (['near', 'far'] as const);
  const ends: [End, End] = [0, 1].map((i): End => ({ side: names[i], open: sides[i].share >= OPEN_SHARE, areaShare: round(sides[i].share, 5) })) as [End, End];
  const harmfulEnd = (i: 0 | 1) => (sides[i].share >= HARMFUL_END_SHARE ? sides[i] : null);
  const topUp = planTopUp(picture, bands, [harmfulEnd(0), harmfulEnd(1)], request.overlap, dofUm)
    .map((plan) => ({ ...plan, after: plan.after === null ? null : toFrame[plan.after], before: plan.before === null ? null : toFrame[plan.before] }));
  const inReport = bands.map((band) => ({ ...band, after: toFrame[band.after], before: toFrame[band.before], spoiled: band.spoiled.map((k) => toFrame[k]) }));
  const evidence: Evidence = {
    frames: frames.length, labels, steps, bands: inReport,
    openEnds: ([0, 1] as const).flatMap((i) => { const end = harmfulEnd(i); return end ? [{ frame: toFrame[order[i ? order.length - 1 : 0]], share: end.share, atLeastDof: end.extentDof }] : []; }),
    moved: order.flatMap((k) => (faults.flags[k].includes('subject-moved') ? [{ frame: toFrame[k], share: faults.movedShare[k] }] : [])),
    topUpFrames: topUp.reduce((sum, plan) => sum + plan.frames, 0), dofUm, scaleSigma,
  };
  // Where the fit itself is in doubt, no step of it is called good and nothing is asked to be shot.
  const doubt = strange ? strange.message : cannotTell(picture, evidence.moved, evidence.labels);
  if (doubt !== null) for (const step of steps) { step.grade = 'unmeasured'; step.atLeast = false; }
  const beside = doubt === null ? besideFocus(solved, picture, frames, steps, labels, dofUm) : null;
  const faultsFound = faultFindings(frames, solved.leftOut, doubt === null ? evidence.moved : []);
  const findings: Finding[] = [
    ...(strange ? [strange] : []), ...(doubt === null ? bandFindings(evidence) : []), ...(scaleSigma > 0 && doubt === null ? [scaleFinding(scaleSigma)] : []),
    // A second pass shows the depths of the first again; that is no rail that failed to move.
    ...(beside?.passes ? faultsFound.filter((finding) => finding.kind !== 'repeat') : faultsFound), ...(beside?.findings ?? []), ...ofFiles,
  ];
  const good = measuredSteps.filter((step) => step.grade !== 'unmeasured' && step.stepDof > REPEAT_DOF).map((step) => step.stepDof);
  const medianStep = good.length ? median(good) : null;
  dropUnsupportedEnds(cover, sides);
  return {
    ...base, stack: stackOf(order.map((k) => toFrame[k]), direction), steps, ends, findings, verdict: doubt === null ? judged(evidence, beside?.passes ?? null) : { decision: 'undecided', reasons: [doubt] }, topUp: doubt === null ? topUp : [],
    tiles: tileMap(picture, cover, toFrame, outputCutoff),
    rail: { medianStepDof: medianStep && round(medianStep), medianStepUm: medianStep === null || dofUm === null ? null : round(medianStep * dofUm, 3), scatter: good.length > 2 && medianStep ? round(robustSpread(good) / medianStep) : null },
    ...(scaleSigma > 0 ? { scaleSigma: round(scaleSigma) } : {}),
    ...(request.withCurves ? { curves: focusCurves(picture, toFrame, frames.length) } : {}),
  };
}

/** The verdict, with what it was made of where two passes were judged as one stack. */
function judged(evidence: Evidence, passes: Finding | null): Report['verdict'] {
  const verdict = decide(evidence);
  return passes ? { ...verdict, reasons: [...verdict.reasons, passes.message] } : verdict;
}

const NO_DETAIL = 'There is too little detail in these frames to tell where they are focused. Light the subject from the side, expose more, or point the camera at a part with texture, and shoot again.';

const TOO_FEW = 'Only one frame can be used, and a step lies between two: there is nothing to measure yet. Shoot the stack, or choose the folder that holds all of it.';

function readPicture(solved: SolvedStack, factor: number): StackPicture | null {
  const { ladder, uncertainty, stack } = solved;
  if (!ladder || !uncertainty) return null;
  const { z } = ladder.state, sign = solved.axisSign;
  const order = Array.from({ length: stack.frames }, (_, k) => k).sort((a, b) => sign * (z[a] - z[b]));
  const zero = z[order[0]], tiles = tileDepths(stack, ladder);
  const perUnit = ladderUnit(solved.plan) / factor;
  let pictureTiles = 0;
  for (let t = 0; t < stack.inside.length; t++) pictureTiles += stack.inside[t];
  return {
    stack, ladder, uncertainty, tiles, perUnit, order, blurred: ladder.blurred, pictureTiles,
    position: alongAxis(z, sign, zero, perUnit), depth: alongAxis(tiles.depth, sign, zero, perUnit),
  };
}

function alongAxis(depth: Float64Array, sign: number, zero: number, perUnit: number): Float64Array {
  const out = new Float64Array(depth.length);
  for (let i = 0; i < depth.length; i++) out[i] = sign * (depth[i] - zero) * perUnit;
  return out;
}

/** Beyond the ends only what rises towards them is known to be a surface. */
function dropUnsupportedEnds(cover: Coverage, sides: readonly OpenEnd[]): void {
  const supported = new Set(sides.flatMap((side) => side.tiles)), { state } = cover;
  for (let t = 0; t < state.length; t++) if ((state[t] === 'beyond-near' || state[t] === 'beyond-far') && !supported.has(t)) state[t] = 'no-detail';
}

function directionOf(solved: SolvedStack, order: readonly number[]): Direction {
  if (!solved.directionKnown) return 'unknown';
  let forward = 0, all = 0;
  for (let i = 0; i < order.length; i++) for (let j = i + 1; j < order.length; j++) { all++; if (order[j] > order[i]) forward++; }
  return forward > 0.9 * all ? 'near-first' : forward < 0.1 * all ? 'far-first' : 'mixed';
}

/** EV against the median frame, from mean brightness and what tiles say beyond it. */
function exposures(solved: SolvedStack): Float64Array {
  const ev = solved.measures.map((m, k) => 2 * (Math.log2(m.meanRoot) + solved.stack.gain[k] / Math.LN2)), middle = median(ev);
  return Float64Array.from(ev, (v) => v - middle);
}
