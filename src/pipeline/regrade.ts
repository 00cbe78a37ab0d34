import type { Report } from '../contract/report.js';
import type { AnalyseRequest } from './analyse-request.js';
import { makeReport } from './make-report.js';
import { rescaleSolution } from './rescale-solution.js';
import { resolveOptics } from './resolve-optics.js';
import { ASSUMED_CUTOFF, solveAtCutoff, type SolvedStack } from './solve-stack.js';

/** A cutoff that differs by less changes no step by more than its own uncertainty. */
const SAME_CUTOFF = 0.005;

/** Cutoff that a request's rig gives a stack, cycles per source pixel. */
export const cutoffOf = (solved: SolvedStack, request: AnalyseRequest): number => resolveOptics(request.rig, solved.facts).cutoff ?? solved.cutoffFound?.cutoff ?? ASSUMED_CUTOFF;

export const sameCutoff = (a: number, b: number): boolean => Math.abs(a / b - 1) <= SAME_CUTOFF;

/** The same measurements judged with other optics, overlap or output size. Reads no frame; solves again only where the cutoff changed. */
export function regrade(solved: SolvedStack, request: AnalyseRequest): Report {
  const cutoff = cutoffOf(solved, request);
  if (!sameCutoff(cutoff, solved.cutoff)) solveAtCutoff(solved, cutoff);
  return makeReport(solved, request);
}

/** The same at once, from the present solution, for as long as {@link regrade} takes to refine it. */
export function regradeAtOnce(solved: SolvedStack, request: AnalyseRequest): Report {
  return makeReport(rescaleSolution(solved, cutoffOf(solved, request)), request);
}
