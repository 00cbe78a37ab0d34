import type { Report } from '../../src/contract/report.js';
import type { CurveMeasure } from '../state/window-state.js';

/** Sharpness of one place in every frame, and the fitted curve where there is one. */
export interface PlaceCurve {
  /** Tile it was measured at: the place itself or one near. */
  tile: number;
  /** Per frame in file order; 1 in focus. Null: not measured. */
  amplitude: readonly (number | null)[];
  fitted: { defocusDof: readonly number[]; amplitude: readonly number[] } | null;
}

/** Farthest tile whose curve may stand for a place, in tiles. */
const NEAR_TILES = 3.01;
const BAND = { fine: 0, middle: 1, coarse: 2 } as const;

/** @returns null where nothing was measured at the place or near it */
export function curveOfPlace(report: Report, tile: number, measure: CurveMeasure): PlaceCurve | null {
  const { curves } = report;
  if (!curves) return null;
  if (measure === 'fft') return spectrumOfPlace(report, tile);
  const row = nearestRow(report, tile);
  const band = BAND[measure] === 0 ? curves : curves.coarser?.[BAND[measure] - 1];
  return row === null || !band ? null : { tile: curves.tile[row], amplitude: band.amplitude[row], fitted: band.fitted };
}

function nearestRow(report: Report, tile: number): number | null {
  const { tile: tiles } = report.curves!;
  const exact = tiles.indexOf(tile);
  if (exact >= 0) return exact;
  let best: number | null = null, bestAway = NEAR_TILES;
  tiles.forEach((t, row) => {
    const away = Math.hypot(rowOf(report, t) - rowOf(report, tile), columnOf(report, t) - columnOf(report, tile));
    if (away < bestAway) { bestAway = away; best = row; }
  });
  return best;
}

/** The FFT window whose middle lies nearest; windows are spread over the picture, so it may lie some way off. */
function spectrumOfPlace(report: Report, tile: number): PlaceCurve | null {
  const { spectrum } = report.curves!, { tilePx, rows, columns } = report.tiles;
  if (!spectrum || spectrum.row.length === 0) return null;
  const row = (rowOf(report, tile) + 0.5) * tilePx, column = (columnOf(report, tile) + 0.5) * tilePx;
  const away = (w: number): number => Math.hypot(spectrum.row[w] - row, spectrum.column[w] - column);
  const nearest = [...spectrum.row.keys()].reduce((best, w) => (away(w) < away(best) ? w : best), 0);
  const at = (centre: number, most: number): number => Math.min(most - 1, Math.max(0, Math.floor(centre / tilePx)));
  return { tile: at(spectrum.row[nearest], rows) * columns + at(spectrum.column[nearest], columns), amplitude: spectrum.amplitude[nearest], fitted: null };
}

const rowOf = (report: Report, tile: number): number => Math.floor(tile / report.tiles.columns);
const columnOf = (report: Report, tile: number): number => tile % report.tiles.columns;
