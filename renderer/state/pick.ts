import type { Report } from '../../src/contract/report.js';
import { frameCounts, harmfulGaps, HARMFUL_OPEN_SHARE, stepOfTile, tilesBeyond, tilesOfFrame, tilesOfStep, worstTile } from './report-reading.js';
import type { Mark } from './window-state.js';

export interface Picked { mark: Mark | null; tile: number | null }

/** What to show first: the worst harmful gap and its worst place, else an open end, else a place in the middle of the stack. */
export function firstPick(report: Report): Picked {
  const gap = harmfulGaps(report)[0];
  if (gap) return pickMark(report, { kind: 'step', step: report.steps.indexOf(gap) }, null);
  const open = report.ends.findIndex((end) => end.open && end.areaShare >= HARMFUL_OPEN_SHARE);
  if (open >= 0) return pickMark(report, { kind: 'end', end: open as 0 | 1 }, null);
  const { order } = report.stack;
  const middle = order[Math.floor(order.length / 2)];
  return middle === undefined ? { mark: null, tile: null } : { mark: null, tile: pickMark(report, { kind: 'frame', frame: middle }, null).tile };
}

/** Marks something and moves the place to where it shows best, unless the present place already belongs to it. */
export function pickMark(report: Report, mark: Mark, tile: number | null): Picked {
  const tiles = tilesOfMark(report, mark);
  if (tile !== null && tiles.includes(tile)) return { mark, tile };
  return { mark, tile: mark.kind === 'frame' ? middleTile(report, tiles) : worstTile(report, tiles) };
}

/** The tiles that belong to a mark: those its missing depth leaves soft, or those a frame keeps sharp. */
export function tilesOfMark(report: Report, mark: Mark): number[] {
  if (mark.kind === 'frame') return tilesOfFrame(report, mark.frame);
  if (mark.kind === 'end') return tilesBeyond(report, mark.end);
  const step = report.steps[mark.step];
  if (!step) return [];
  const soft = tilesOfStep(report, step, true);
  return soft.length > 0 ? soft : tilesOfStep(report, step, false);
}

/** A place picked in the picture marks what it belongs to: the gap that leaves it soft, or the frame that keeps it sharp. */
export function pickTile(report: Report, tile: number): Picked {
  const { state, bestFrame } = report.tiles;
  if (state[tile] === 'beyond-near') return { mark: { kind: 'end', end: 0 }, tile };
  if (state[tile] === 'beyond-far') return { mark: { kind: 'end', end: 1 }, tile };
  if (state[tile] === 'soft') {
    const step = stepOfTile(report, tile);
    return { mark: step === null ? null : { kind: 'step', step }, tile };
  }
  const frame = bestFrame[tile];
  return { mark: state[tile] === 'sharp' && frame !== null && frameCounts(report, frame) ? { kind: 'frame', frame } : null, tile };
}

/** Keeps a mark and a place only where the report has them. */
export function validPick(report: Report, picked: Picked): Picked {
  const { mark, tile } = picked;
  const known = mark === null || (mark.kind === 'frame' ? mark.frame < report.stack.frames.length : mark.kind === 'end' || mark.step < report.steps.length);
  return { mark: known ? mark : null, tile: tile !== null && tile < report.tiles.state.length ? tile : null };
}

/** The tile that lies nearest to the middle of the set. */
function middleTile(report: Report, tiles: readonly number[]): number | null {
  if (tiles.length === 0) return null;
  const { columns } = report.tiles;
  const row = mean(tiles.map((t) => Math.floor(t / columns))), column = mean(tiles.map((t) => t % columns));
  return tiles.reduce((best, t) => (away(t) < away(best) ? t : best), tiles[0]);
  function away(t: number): number { return Math.hypot(Math.floor(t / columns) - row, (t % columns) - column); }
}

const mean = (values: number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;
