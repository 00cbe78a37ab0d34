import { phaseShift } from './phase-shift.js';
import type { PhaseShifts, PlacedWindows, WindowPicture } from './placed-windows.js';
import { windowSpectrum } from './window-spectrum.js';

/** A frame's registration picture with the window spectra already made from it. */
export interface RegistrationFrame extends WindowPicture { spectra: Map<number, Float32Array> }

function spectrumAt(frame: RegistrationFrame, top: number, left: number): Float32Array {
  const key = top * frame.columns + left;
  let spectrum = frame.spectra.get(key);
  if (!spectrum) frame.spectra.set(key, spectrum = windowSpectrum(frame.pixels, frame.columns, top, left));
  return spectrum;
}

/** Displacement of every window of frame a in frame b. @param follow windows move with their content to fractions of a pixel */
export function plainShifts(a: RegistrationFrame, b: RegistrationFrame, windows: PlacedWindows, follow: boolean): PhaseShifts {
  const found: PhaseShifts = { row: [], column: [], coherence: [] };
  windows.top.forEach((top, i) => {
    const bTop = windows.bTop[i], bLeft = windows.bLeft[i], beyondRow = windows.beyondRow[i], beyondColumn = windows.beyondColumn[i];
    const shown = follow ? windowSpectrum(b.pixels, b.columns, bTop, bLeft, beyondRow, beyondColumn) : spectrumAt(b, bTop, bLeft);
    const shift = phaseShift(spectrumAt(a, top, windows.left[i]), shown, beyondRow, beyondColumn);
    found.row.push(shift.row); found.column.push(shift.column); found.coherence.push(shift.coherence);
  });
  return found;
}
