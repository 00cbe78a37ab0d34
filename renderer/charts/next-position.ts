import type { Report } from '../../src/contract/report.js';

/** Where the next frame would lie, DOF, if it went on by the usual step from the frame shot last; null where that is not known. */
export function nextPosition(report: Report): number | null {
  const { frames } = report.stack, step = report.rail.medianStepDof;
  const placed = frames.map((frame) => frame.positionDof).filter((p): p is number => p !== null);
  if (step === null || placed.length < 2) return null;
  const [before, last] = placed.slice(-2);
  return last + Math.sign(last - before) * step;
}
