import type { Report, Step } from '../../src/contract/report.js';
import { isHarmless, stepSpan } from '../state/report-reading.js';

export interface RungBox { frame: number; centreDof: number; lane: 0 | 1; sigmaDof: number; /** Two sigma both ways end before those of the next frame in this lane begin: they can be told apart. */ sigmaApart: boolean }
export interface BandBox { step: number; fromDof: number; toDof: number; missingDof: number; frames: number; harmful: boolean }
export interface SurfaceBar { fromDof: number; toDof: number; share: number }

/**
 * What the ladder draws, in DOF: pure, so that it can be made from any saved report. Bands are what no rung covers between two frames.
 *
 * @param harmless indices of the steps whose gap does no harm, every other gap then does; null: each is judged by its soft area
 */
export function ladderLayout(report: Report, harmless: ReadonlySet<number> | null = null): { rungs: RungBox[]; bands: BandBox[]; surface: SurfaceBar[]; extent: [number, number] } {
  const { frames, order } = report.stack;
  const placed = order.flatMap((frame, place) => {
    const { positionDof, positionSigmaDof } = frames[frame];
    return positionDof === null ? [] : [{ frame, centreDof: positionDof, lane: (place % 2) as 0 | 1, sigmaDof: positionSigmaDof ?? 0 }];
  });
  const rungs = placed.map((rung): RungBox => ({ ...rung, sigmaApart: placed.every((other) => other === rung || other.lane !== rung.lane || Math.abs(other.centreDof - rung.centreDof) >= 2 * (other.sigmaDof + rung.sigmaDof)) }));
  const bands = report.steps.flatMap((step, index): BandBox[] => bandOf(report, step, index, harmless?.has(index) ?? isHarmless(step)));
  const depths = report.tiles.depthDof.filter((d): d is number => d !== null);
  const centres = rungs.map((rung) => rung.centreDof);
  const low = Math.min(...centres, 0) - 1, high = Math.max(...centres, 1) + 1;
  return { rungs, bands, surface: surfaceBars(depths, low, high, report.tiles.depthDof.length), extent: [low, high] };
}

function bandOf(report: Report, step: Step, index: number, harmless: boolean): BandBox[] {
  const span = stepSpan(report, step);
  if (step.grade !== 'gap' || !span) return [];
  const missingDof = span[1] - span[0] - 1;
  const planned = report.topUp.find((entry) => entry.after === step.from && entry.before === step.to);
  return [{ step: index, fromDof: span[0] + 0.5, toDof: span[1] - 0.5, missingDof, frames: report.verdict.decision === 'reshoot' ? 0 : planned?.frames ?? 0, harmful: !harmless }];
}

const BAR_DOF = 0.25;

function surfaceBars(depths: readonly number[], low: number, high: number, tiles: number): SurfaceBar[] {
  const barDof = Math.max(BAR_DOF, (high - low) / 150);
  const counts = new Map<number, number>();
  for (const depth of depths) {
    const bar = Math.floor((depth - low) / barDof);
    if (depth >= low && depth <= high) counts.set(bar, (counts.get(bar) ?? 0) + 1);
  }
  return [...counts].map(([bar, count]) => ({ fromDof: low + bar * barDof, toDof: low + (bar + 1) * barDof, share: count / Math.max(1, tiles) }));
}
