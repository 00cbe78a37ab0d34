import type { Report } from '../../contract/report.js';

/** About two megabytes of text: a large stack has a hundred times that. */
const MOST_VALUES = 300_000;

/**
 * Fewer focus curves where there are very many, so that a report reaches the window quickly: all of the soft places, the rest evenly.
 * Values are rounded to a thousandth, less than they are measured to.
 */
export function thinCurves(report: Report): Report {
  const { curves } = report;
  if (!curves) return report;
  const frames = Math.max(1, report.stack.frames.length);
  const most = Math.max(200, Math.floor(MOST_VALUES / frames));
  const rows = [...curves.tile.keys()];
  const kept = rows.length <= most ? rows : [...spread(rows.filter((r) => report.tiles.state[curves.tile[r]] === 'soft'), most / 2), ...spread(rows.filter((r) => report.tiles.state[curves.tile[r]] !== 'soft'), most / 2)].sort((a, b) => a - b);
  const amplitude = kept.map((row) => curves.amplitude[row].map((v) => (v === null ? null : Math.round(v * 1000) / 1000)));
  return { ...report, curves: { tile: kept.map((row) => curves.tile[row]), amplitude, fitted: curves.fitted } };
}

function spread(rows: readonly number[], most: number): number[] {
  const every = Math.max(1, rows.length / Math.max(1, Math.floor(most)));
  return Array.from({ length: Math.floor(rows.length / every) }, (_, i) => rows[Math.floor(i * every)]);
}
