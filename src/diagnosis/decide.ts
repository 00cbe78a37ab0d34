import type { Decision, Finding, Step } from '../contract/report.js';
import { HARMFUL_SOFT_SHARE, type MissingBand } from './missing-bands.js';
import { isInDoubt } from './scale-doubt.js';

/** What the verdict is made from, in words and numbers ready to say. */
export interface Evidence {
  frames: number;
  /** Short names of the frames. */
  labels: readonly string[];
  steps: readonly Step[];
  bands: readonly MissingBand[];
  /** Shares beyond open ends; null where closed. Names of the end frames beside them. */
  openEnds: readonly { frame: number; share: number; atLeastDof: number }[];
  /** Frames from which on a part of the subject, or the light, was another, with the share of the picture. */
  moved: readonly { frame: number; share: number }[];
  topUpFrames: number;
  dofUm: number | null;
  /** Relative uncertainty that all steps share because the lens was found from the frames; 0 where it is known. */
  scaleSigma: number;
}

/** Share of the steps that may stay unmeasured where a surface lies, before nothing can be said of the stack. */
const MOST_UNMEASURED_SURFACE = 0.15;

/** keep, top-up, reshoot or undecided, each with its reasons; the first reason is the one to act on. */
export function decide(evidence: Evidence): { decision: Decision; reasons: string[] } {
  const { labels, bands, openEnds, moved, topUpFrames, frames } = evidence;
  const reasons: string[] = [];
  const harmful = bands.filter((band) => band.harmful).sort((a, b) => b.softShare - a.softShare);
  for (const { frame, share } of moved) reasons.push(`The subject or the light changed at ${labels[frame]}: ${percent(share)} of the picture looks different from there on, so frames before and after it don't belong together.`);
  for (const band of harmful) reasons.push(bandReason(band, evidence));
  for (const end of openEnds) reasons.push(`The subject goes on beyond ${labels[end.frame]}, at least ${length(end.atLeastDof, evidence.dofUm)} further: ${percent(end.share)} of the picture lies there.`);
  if (moved.length) return { decision: 'reshoot', reasons };
  if (harmful.length || openEnds.length) {
    if (topUpFrames > frames) return { decision: 'reshoot', reasons: [`${topUpFrames} frames are missing, more than the ${frames} that were shot: a new stack with shorter steps is quicker.`, ...reasons] };
    return { decision: 'top-up', reasons };
  }
  const doubtful = (step: Step): boolean => isInDoubt(step, evidence.scaleSigma);
  const open = evidence.steps.filter((step) => (step.grade === 'unmeasured' || doubtful(step)) && step.surfaceShare >= 0.005);
  const blind = open.reduce((sum, step) => sum + step.surfaceShare, 0), all = evidence.steps.reduce((sum, step) => sum + step.surfaceShare, 0);
  if (open.length && blind > MOST_UNMEASURED_SURFACE * all) {
    const unseen = open.filter((step) => !doubtful(step));
    if (!unseen.length) {
      return { decision: 'undecided', reasons: [`The usual step is about one DOF, and without the lens that is known to ±${Math.round(100 * evidence.scaleSigma)} % only: whether ${open.length === 1 ? 'one step leaves' : `${open.length} steps leave`} a gap can’t be told. Give magnification and aperture.`] };
    }
    const names = unseen.slice(0, 3).map((step) => `${labels[step.from]}–${labels[step.to]}`).join(', ');
    return { decision: 'undecided', reasons: [`${unseen.length === 1 ? 'One step' : `${unseen.length} steps`} could not be measured where a surface lies (${names}). A frame shot between ${unseen.length === 1 ? 'the two' : 'each of them'} would settle it.`] };
  }
  const empty = bands.filter((band) => band.softShare < HARMFUL_SOFT_SHARE).length;
  reasons.push(`No depth where the subject has a surface is missed${empty ? `; ${empty === 1 ? 'one longer step lies' : `${empty} longer steps lie`} where there is none` : ''}.`);
  for (const band of bands.filter(isBarelyMissing)) reasons.push(`${bandReason(band, evidence)} That is hardly seen.`);
  return { decision: 'keep', reasons };
}

/** Surface lies in it, and soft, but by so little that no verdict hangs on it. */
function isBarelyMissing(band: MissingBand): boolean { return !band.harmful && band.softShare >= HARMFUL_SOFT_SHARE; }

function bandReason(band: MissingBand, { labels, dofUm }: Evidence): string {
  const between = `between ${labels[band.after]} and ${labels[band.before]}`;
  const size = `${band.atLeast ? 'at least ' : ''}${length(band.stepDof, dofUm)}`;
  const soft = `${percent(band.softShare)} of the picture lies soft there`;
  if (band.spoiled.length) return `${band.spoiled.map((k) => labels[k]).join(', ')} is blurred, and without it the step ${between} is ${size}: ${soft}.`;
  return `The step ${between} is ${size}: ${soft}.`;
}

function length(dof: number, dofUm: number | null): string {
  const times = `${dof.toFixed(dof < 10 ? 2 : 1)} × DOF`;
  return dofUm === null ? times : `${Math.round(dof * dofUm)} µm, ${times}`;
}

function percent(share: number): string { const p = 100 * share; return `${p < 1 ? p.toFixed(1) : Math.round(p)} %`; }

/** Findings for harmless bands and blurred frames whose neighbours overlap: worth knowing, no reason to shoot again. */
export function bandFindings(evidence: Evidence): Finding[] {
  const findings: Finding[] = [];
  for (const band of evidence.bands) {
    const names = `${evidence.labels[band.after]} and ${evidence.labels[band.before]}`;
    if (isBarelyMissing(band)) {
      findings.push({ kind: 'barely-missing-band', severity: 'warn', frames: [band.after, band.before], message: `${bandReason(band, evidence)} That is hardly seen, and no reason not to keep the stack.`, remedy: `Shoot ${band.spoiled.map((k) => evidence.labels[k]).join(', ')} again if the rig still stands.` });
      continue;
    }
    findings.push(band.harmful
      ? { kind: 'missing-band', severity: 'fault', frames: [band.after, band.before], message: bandReason(band, evidence), remedy: 'Shoot the frames listed under top-up while the rig stands.' }
      : { kind: 'empty-band', severity: 'info', frames: [band.after, band.before], message: `The step between ${names} is ${length(band.stepDof, evidence.dofUm)}, but no surface lies there.` });
  }
  return findings;
}
