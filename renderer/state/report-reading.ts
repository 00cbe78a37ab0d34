import type { Report, Step, TileMap } from '../../src/contract/report.js';

/** Thresholds of the report's own meaning (see the report's description): a gap harms from half a percent of the picture on, an open end from two. */
export const HARMFUL_SOFT_SHARE = 0.005;
export const HARMFUL_OPEN_SHARE = 0.02;

/** Gaps that leave surface soft, the worst first. */
export const harmfulGaps = (report: Report): Step[] =>
  report.steps.filter((s) => s.grade === 'gap' && s.softAreaShare >= HARMFUL_SOFT_SHARE).sort((a, b) => b.softAreaShare - a.softAreaShare);

/** A gap in which no surface lies. */
export const isHarmless = (step: Step): boolean => step.grade === 'gap' && step.softAreaShare < HARMFUL_SOFT_SHARE;

export const harmlessGaps = (report: Report): Step[] => report.steps.filter(isHarmless);

export const missingFrames = (report: Report): number => report.topUp.reduce((sum, entry) => sum + entry.frames, 0);

/** Positions of a step's two frames in DOF, near one first; null where either is unknown. */
export function stepSpan(report: Report, step: Step): [number, number] | null {
  const from = report.stack.frames[step.from].positionDof, to = report.stack.frames[step.to].positionDof;
  return from === null || to === null ? null : [Math.min(from, to), Math.max(from, to)];
}

/** Does this frame keep anything sharp? */
export const frameCounts = (report: Report, frame: number): boolean => !report.stack.frames[frame].flags.some((flag) => flag === 'blurred' || flag === 'unreadable');

/** Tiles whose surface lies between the step's two frames; only the soft ones where `softOnly`. */
export function tilesOfStep(report: Report, step: Step, softOnly: boolean): number[] {
  const span = stepSpan(report, step);
  if (!span) return [];
  const { depthDof, state } = report.tiles;
  return indicesWhere(report.tiles, (t) => depthDof[t] !== null && depthDof[t] >= span[0] && depthDof[t] <= span[1] && (state[t] === 'soft' || (!softOnly && state[t] === 'sharp')));
}

export const tilesOfFrame = (report: Report, frame: number): number[] =>
  indicesWhere(report.tiles, (t) => report.tiles.bestFrame[t] === frame && report.tiles.state[t] === 'sharp');

/** Tiles beyond the first (0) or last (1) frame in depth order. */
export const tilesBeyond = (report: Report, end: 0 | 1): number[] => indicesWhere(report.tiles, (t) => report.tiles.state[t] === (end === 0 ? 'beyond-near' : 'beyond-far'));

function indicesWhere(tiles: TileMap, wanted: (tile: number) => boolean): number[] {
  const found: number[] = [];
  for (let t = 0; t < tiles.state.length; t++) if (wanted(t)) found.push(t);
  return found;
}

/** The step in whose interval a tile's surface lies; null outside. */
export function stepOfTile(report: Report, tile: number): number | null {
  const depth = report.tiles.depthDof[tile];
  if (depth === null || depth === undefined) return null;
  const index = report.steps.findIndex((step) => {
    const span = stepSpan(report, step);
    return span !== null && depth >= span[0] && depth <= span[1];
  });
  return index < 0 ? null : index;
}

/** The place a step is best shown at: its softest tile, preferring one with soft neighbours (a single tile may be an outlier). */
export function worstTile(report: Report, tiles: readonly number[]): number | null {
  const { columns, contrastLoss } = report.tiles;
  const inSet = new Set(tiles);
  let best: number | null = null, bestScore = -Infinity;
  for (const t of tiles) {
    const neighbours = [t - 1, t + 1, t - columns, t + columns, t - columns - 1, t + columns + 1, t - columns + 1, t + columns - 1].filter((n) => inSet.has(n)).length;
    const score = (contrastLoss[t] ?? 0) + 0.15 * neighbours;
    if (score > bestScore) { bestScore = score; best = t; }
  }
  return best;
}

/** Local depth slope at a tile in DOF per tile: the length of the central differences; null at edges of what is measured. */
export function depthSlope(tiles: TileMap, tile: number): number | null {
  const { columns, depthDof } = tiles;
  const column = tile % columns;
  if (column === 0 || column === columns - 1) return null;
  const [left, right, up, down] = [tile - 1, tile + 1, tile - columns, tile + columns].map((t) => depthDof[t] ?? null);
  if (left === null || right === null || up === null || down === null) return null;
  return Math.hypot((right - left) / 2, (down - up) / 2);
}

/** A sharp tile near another with about the same depth slope, to compare with; null where there is none. */
export function comparableSharpTile(report: Report, tile: number): number | null {
  const { tiles } = report;
  const slope = depthSlope(tiles, tile);
  const row = Math.floor(tile / tiles.columns), column = tile % tiles.columns;
  let best: number | null = null, bestCost = Infinity;
  for (let t = 0; t < tiles.state.length; t++) {
    if (tiles.state[t] !== 'sharp' || (tiles.contrastLoss[t] ?? 1) > 0.1) continue;
    const there = depthSlope(tiles, t);
    if (there === null) continue;
    const away = Math.hypot(Math.floor(t / tiles.columns) - row, (t % tiles.columns) - column) / tiles.columns;
    const cost = away + (slope === null ? 0 : Math.abs(there - slope));
    if (cost < bestCost) { bestCost = cost; best = t; }
  }
  return best;
}
