import { fitSimilarity, type SimilarityFit, type WindowShifts } from './fit-similarity.js';
import { phaseShift } from './phase-shift.js';
import { applySimilarity, type Similarity } from './similarity.js';
import { WINDOW_PX, windowSpectrum } from './window-spectrum.js';

/** A frame's registration picture with the window spectra already made from it. */
export interface RegistrationFrame { rows: number; columns: number; pixels: Int16Array | Float32Array; spectra: Map<number, Float32Array> }

const MOST_WINDOWS = 130;
const ROUNDS = 4;
/** Change of any window's place from one round to the next below which a pair is settled. */
const SETTLED_PX = 0.05;

function spectrumAt(frame: RegistrationFrame, top: number, left: number): Float32Array {
  const key = top * frame.columns + left;
  let spectrum = frame.spectra.get(key);
  if (!spectrum) frame.spectra.set(key, spectrum = windowSpectrum(frame.pixels, frame.columns, top, left));
  return spectrum;
}

/** Displacement of every window of frame a that the predicted similarity keeps inside frame b. `follow`: windows move with their content to fractions of a pixel. */
function windowShifts(a: RegistrationFrame, b: RegistrationFrame, predicted: Similarity, follow: boolean): WindowShifts {
  const shifts: WindowShifts = { row: [], column: [], dRow: [], dColumn: [], weight: [] };
  const halfWindow = WINDOW_PX / 2, centreRow = (a.rows - 1) / 2, centreColumn = (a.columns - 1) / 2;
  const stride = Math.max(WINDOW_PX / 2, Math.round(Math.sqrt((a.rows * a.columns) / MOST_WINDOWS)));
  for (let top = 0; top + WINDOW_PX <= a.rows; top += stride) for (let left = 0; left + WINDOW_PX <= a.columns; left += stride) {
    const row = top + halfWindow - 0.5 - centreRow, column = left + halfWindow - 0.5 - centreColumn;
    const there = applySimilarity(predicted, row, column);
    const exactTop = there.row + centreRow + 0.5 - halfWindow, exactLeft = there.column + centreColumn + 0.5 - halfWindow;
    const bTop = Math.round(exactTop), bLeft = Math.round(exactLeft);
    if (bTop < 0 || bLeft < 0 || bTop + WINDOW_PX > b.rows || bLeft + WINDOW_PX > b.columns) continue;
    const shown = follow ? windowSpectrum(b.pixels, b.columns, bTop, bLeft, exactTop - bTop, exactLeft - bLeft) : spectrumAt(b, bTop, bLeft);
    const shift = phaseShift(spectrumAt(a, top, left), shown, exactTop - bTop, exactLeft - bLeft);
    shifts.row.push(row); shifts.column.push(column); shifts.dRow.push(shift.row); shifts.dColumn.push(shift.column);
    shifts.weight.push(Math.min(1, Math.max(0, (shift.coherence - 0.5) / 0.4)) ** 2 + 1e-6);
  }
  return shifts;
}

/**
 * Similarity from frame a to frame b, window by window, from the best of several starts.
 * @returns null where too few windows stay inside
 */
export function registerPair(a: RegistrationFrame, b: RegistrationFrame, starts: readonly Similarity[]): SimilarityFit | null {
  let best: SimilarityFit | null = null;
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
