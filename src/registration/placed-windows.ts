import { turnOf, type Similarity } from './similarity.js';
import { WINDOW_PX } from './window-spectrum.js';

/** A picture that windows are taken from. */
export interface WindowPicture { rows: number; columns: number; pixels: Int16Array | Float32Array }

/** Windows of one frame, and where another is expected to show what they do. One number a window each. */
export interface PlacedWindows {
  /** Number in {@link windowGrid}. */
  place: number[];
  /** Centre, centred coordinates of the first frame. */
  row: number[];
  column: number[];
  /** First row and column in the first frame, and in the second to the nearest pixel. */
  top: number[];
  left: number[];
  bTop: number[];
  bLeft: number[];
  /** What the place in the second lies beyond that, −0.5 … 0.5. */
  beyondRow: number[];
  beyondColumn: number[];
}

/** Displacements beyond `beyondRow` and `beyondColumn`, and how well the phases agree with them. */
export interface PhaseShifts { row: number[]; column: number[]; coherence: number[] }

const MOST_WINDOWS = 130;

let last: { rows: number; columns: number; grid: { top: number; left: number }[] } | null = null;

/** First rows and columns of the windows of a picture: a stack's pictures are all of one size. */
export function windowGrid(rows: number, columns: number): readonly { top: number; left: number }[] {
  if (last?.rows === rows && last.columns === columns) return last.grid;
  const stride = Math.max(WINDOW_PX / 2, Math.round(Math.sqrt((rows * columns) / MOST_WINDOWS))), grid: { top: number; left: number }[] = [];
  for (let top = 0; top + WINDOW_PX <= rows; top += stride) for (let left = 0; left + WINDOW_PX <= columns; left += stride) grid.push({ top, left });
  last = { rows, columns, grid };
  return grid;
}

/** The windows of a frame that the predicted similarity keeps inside the other. */
export function placeWindows(a: WindowPicture, b: WindowPicture, predicted: Similarity): PlacedWindows {
  const placed: PlacedWindows = { place: [], row: [], column: [], top: [], left: [], bTop: [], bLeft: [], beyondRow: [], beyondColumn: [] };
  const halfWindow = WINDOW_PX / 2, centreRow = (a.rows - 1) / 2, centreColumn = (a.columns - 1) / 2, { cosine, sine } = turnOf(predicted);
  windowGrid(a.rows, a.columns).forEach(({ top, left }, place) => {
    const row = top + halfWindow - 0.5 - centreRow, column = left + halfWindow - 0.5 - centreColumn;
    const exactTop = cosine * row - sine * column + predicted.row + centreRow + 0.5 - halfWindow, exactLeft = sine * row + cosine * column + predicted.column + centreColumn + 0.5 - halfWindow;
    const bTop = Math.round(exactTop), bLeft = Math.round(exactLeft);
    if (bTop < 0 || bLeft < 0 || bTop + WINDOW_PX > b.rows || bLeft + WINDOW_PX > b.columns) return;
    placed.place.push(place); placed.row.push(row); placed.column.push(column);
    placed.top.push(top); placed.left.push(left); placed.bTop.push(bTop); placed.bLeft.push(bLeft);
    placed.beyondRow.push(exactTop - bTop); placed.beyondColumn.push(exactLeft - bLeft);
  });
  return placed;
}
