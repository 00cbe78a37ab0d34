import type { Report } from '../contract/report.js';
import type { AnalyseRequest } from './analyse-request.js';
import { makeReport } from './make-report.js';
import { resolveOptics } from './resolve-optics.js';
import { ASSUMED_CUTOFF, solveMeasures, type SolvedStack } from './solve-stack.js';

/** A cutoff that differs by less changes no step by more than its own uncertainty. */
const SAME_CUTOFF = 0.005;

/** The same measurements judged with other optics, overlap or output size. Reads no frame; solves again only where the cutoff changed. */
export function regrade(solved: SolvedStack, request: AnalyseRequest): Report {
  const optics = resolveOptics(request.rig, solved.facts);
  const cutoff = optics.cutoff ?? ASSUMED_CUTOFF;
  solved.cutoffKnown = optics.cutoff !== null;
  if (Math.abs(cutoff / solved.cutoff - 1) > SAME_CUTOFF) {
    const start = solved.ladder ? solved.ladder.state.z.map((z) => (z * cutoff) / solved.cutoff) : null;
    // The bands stay where they were measured; only the lens behind them is another.
    solved.plan = { ...solved.plan, cutoff: cutoff * solved.plan.bin };
    solved.cutoff = cutoff;
    solveMeasures(solved, start);
  }
  return makeReport(solved, request);
}
