import type { SolvedStack } from '../../pipeline/solve-stack.js';
import type { SolvedLadder } from '../../ladder/solve-ladder.js';

/** What another thread needs of a solved stack to solve it under other optics: no pixels, no functions, no fit but its positions. */
export interface PackedStack {
  stack: Omit<SolvedStack, 'source' | 'measures' | 'whole' | 'ladder' | 'uncertainty'>;
  source: Pick<SolvedStack['source'], 'folder' | 'frames'>;
  measures: SolvedStack['measures'];
  z: Float64Array;
}

/** @returns null where nothing was solved: there is nothing to start from then, and nothing to wait for */
export function packStack(solved: SolvedStack): PackedStack | null {
  const { source, measures, ladder, ...rest } = solved;
  if (!ladder) return null;
  const stack: PackedStack['stack'] & { uncertainty?: unknown; whole?: unknown } = rest;
  delete stack.uncertainty;
  delete stack.whole;
  return {
    stack, source: { folder: source.folder, frames: source.frames },
    measures, z: ladder.state.z,
  };
}

/** Solving again reads brightness and spectra of the measures, and positions of the fit; nothing else of either is there. */
export function unpackStack({ stack, source, measures, z }: PackedStack): SolvedStack {
  return {
    ...stack, uncertainty: null, measures, whole: null, ladder: { state: { z } } as SolvedLadder,
    source: { ...source, measure: () => Promise.reject(new Error('frames are not read again')) },
  };
}
