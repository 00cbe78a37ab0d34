import type { Report } from '../../contract/report.js';

/** Depth between two rungs that count, which no frame keeps sharp. */
export interface MissingBand {
  fromDof: number;
  toDof: number;
  /** Frames on either side, as indices. */
  near: number;
  far: number;
  /** harmless: no surface lies there; unmeasured: nobody can say how deep it is. */
  kind: 'harmful' | 'harmless' | 'unmeasured';
  softAreaShare: number;
}

/** From here a gap is harmful (report contract). */
export const HARMFUL_SHARE = 0.005;

/**
 * The depths that no rung covers, near to far. Blurred and unreadable frames keep nothing sharp, so they end no band.
 */
export function missingBands(report: Report): MissingBand[] {
  const { frames, order } = report.stack;
  const stepAfter = new Map(report.steps.map((step) => [step.from, step]));
  const bands: MissingBand[] = [];
  let previous: number | null = null;
  let passed: Report['steps'] = [];
  for (const index of order) {
    if (previous !== null && countsAsRung(frames[index])) {
      const fromDof = (frames[previous].positionDof ?? 0) + 0.5;
      const toDof = (frames[index].positionDof ?? 0) - 0.5;
      const unmeasured = passed.some((step) => step.grade === 'unmeasured');
      const softAreaShare = passed.reduce((sum, step) => sum + step.softAreaShare, 0);
      const gap = passed.length > 1 ? toDof > fromDof : passed.some((step) => step.grade === 'gap');
      if (unmeasured || (gap && toDof > fromDof)) {
        bands.push({ fromDof, toDof, near: previous, far: index, softAreaShare, kind: unmeasured ? 'unmeasured' : softAreaShare >= HARMFUL_SHARE ? 'harmful' : 'harmless' });
      }
    }
    if (countsAsRung(frames[index])) { previous = index; passed = []; }
    const step = stepAfter.get(index);
    if (step) passed.push(step);
  }
  return bands;
}

/** Whether a frame keeps a depth sharp and is known to lie somewhere. */
export function countsAsRung(frame: Report['stack']['frames'][number] | undefined): boolean {
  return frame !== undefined && frame.positionDof !== null && !frame.flags.includes('blurred') && !frame.flags.includes('unreadable');
}
