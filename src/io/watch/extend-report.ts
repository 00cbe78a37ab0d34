import type { Frame, Report, Step } from '../../contract/report.js';

/**
 * A report with one more frame: the ladder so far, and the new frame where a quick look at the frames shot last places it.
 * What needs the whole stack (tiles, verdict, top-up) stays as it was until the whole is looked at again.
 *
 * @param report the stack so far
 * @param look a report of the newest frames, the new one among them
 * @param file the new frame
 * @returns null where the two share too little to be joined
 */
export function extendReport(report: Report, look: Report, file: string): Report | null {
  const known = new Map(report.stack.frames.map((frame) => [frame.file, frame]));
  const added = look.stack.frames.find((frame) => frame.file === file);
  if (added === undefined) return null;
  if (added.positionDof === null) return withFrame(report, { ...added, positionUm: null }, null);
  const shared = look.stack.frames.flatMap((frame) => {
    const here = known.get(frame.file)?.positionDof;
    return frame.file === file || here == null || frame.positionDof === null ? [] : [{ here, there: frame.positionDof }];
  });
  if (shared.length === 0) return null;
  // A short run of frames may not show on which side the camera was; the ladder so far does.
  const sense = shared.length < 2 || covariance(shared) >= 0 ? 1 : -1;
  const nearest = shared.reduce((best, pair) => (Math.abs(pair.there - (added.positionDof ?? 0)) < Math.abs(best.there - (added.positionDof ?? 0)) ? pair : best));
  const positionDof = nearest.here + sense * (added.positionDof - nearest.there);
  const dofUm = report.optics.dofUm.value;
  return withFrame(report, { ...added, positionDof, positionUm: dofUm === null ? null : positionDof * dofUm }, look);
}

function covariance(pairs: readonly { here: number; there: number }[]): number {
  const mean = (pick: 'here' | 'there'): number => pairs.reduce((sum, pair) => sum + pair[pick], 0) / pairs.length;
  const here = mean('here'), there = mean('there');
  return pairs.reduce((sum, pair) => sum + (pair.here - here) * (pair.there - there), 0);
}

function withFrame(report: Report, frame: Frame, look: Report | null): Report {
  const frames = [...report.stack.frames, frame];
  const index = frames.length - 1;
  if (look === null) return { ...report, stack: { ...report.stack, frames } };
  const order = [...report.stack.order, index].sort((a, b) => (frames[a].positionDof ?? 0) - (frames[b].positionDof ?? 0));
  const lookStep = (a: number, b: number): Step | undefined => {
    const name = (i: number): string => look.stack.frames[i].file;
    return look.steps.find((step) => [name(step.from), name(step.to)].sort().join() === [frames[a].file, frames[b].file].sort().join());
  };
  const steps = order.slice(1).map((to, k): Step => {
    const from = order[k];
    const before = report.steps.find((step) => step.from === from && step.to === to);
    if (before) return before;
    const seen = lookStep(from, to);
    if (seen) return { ...seen, from, to };
    return { from, to, stepDof: null, sigmaDof: null, stepUm: null, overlap: null, grade: 'unmeasured', atLeast: false, softAreaShare: 0, surfaceShare: 0 };
  });
  return { ...report, stack: { ...report.stack, frames, order }, steps };
}
