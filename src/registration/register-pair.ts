import { fitSimilarity, type SimilarityFit, type WindowShifts } from './fit-similarity.js';
import { fastShifts } from './fast-windows.js';
import { placeWindows } from './placed-windows.js';
import { plainShifts, type RegistrationFrame } from './plain-shifts.js';
import type { Similarity } from './similarity.js';

const ROUNDS = 4;
/** Change of any window's place from one round to the next below which a pair is settled. */
const SETTLED_PX = 0.05;

/** Displacement of every window of frame a that the predicted similarity keeps inside frame b. `follow`: windows move with their content to fractions of a pixel. */
function windowShifts(a: RegistrationFrame, b: RegistrationFrame, predicted: Similarity, follow: boolean): WindowShifts {
  const windows = placeWindows(a, b, predicted), found = fastShifts(a, b, windows, follow) ?? plainShifts(a, b, windows, follow);
  return {
    row: windows.row, column: windows.column, dRow: found.row, dColumn: found.column,
    weight: found.coherence.map((coherence) => Math.min(1, Math.max(0, (coherence - 0.5) / 0.4)) ** 2 + 1e-6),
  };
}

/**
 * Similarity from frame a to frame b, window by window, from the best of several starts.
 * @param found from another start, kept where none of these is better
 * @returns null where too few windows stay inside
 */
export function registerPair(a: RegistrationFrame, b: RegistrationFrame, starts: readonly Similarity[], found: SimilarityFit | null = null): SimilarityFit | null {
  let best = found;
  for (const start of starts) {
    let predicted = start, fit: SimilarityFit | null = null;
    for (let round = 0; round < ROUNDS; round++) {
      const shifts = windowShifts(a, b, predicted, round > 0);
      if (shifts.row.length < 6) { fit = null; break; }
      fit = fitSimilarity(predicted, shifts);
      const { row, column, turn, lnScale } = fit.similarity;
      const change = Math.hypot(row - predicted.row, column - predicted.column) + (Math.abs(turn - predicted.turn) + Math.abs(lnScale - predicted.lnScale)) * Math.hypot(a.rows, a.columns) / 2;
      predicted = fit.similarity;
      if (round > 0 && change < SETTLED_PX) break;
    }
    if (fit && (!best || fit.inlierShare > best.inlierShare + 1e-9)) best = fit;
  }
  return best;
}
