import type { BandCurves, Report } from '../../contract/report.js';

/** About three megabytes of text: a large stack has a hundred times that. */
const MOST_VALUES = 450_000;

/**
 * Fewer focus curves where there are very many, so that a report reaches the window quickly: all of the soft places, the rest evenly.
 */
export function thinCurves(report: Report): Report {
  const { curves } = report;
  if (!curves) return report;
  const values = Math.max(1, report.stack.frames.length) * (1 + (curves.coarser?.length ?? 0));
  const most = Math.max(200, Math.floor(MOST_VALUES / values));
  const rows = [...curves.tile.keys()];
  if (rows.length <= most) return report;
  const isSoft = (row: number): boolean => report.tiles.state[curves.tile[row]] === 'soft';
  const kept = [...spread(rows.filter(isSoft), most / 2), ...spread(rows.filter((row) => !isSoft(row)), most / 2)].sort((a, b) => a - b);
  const thinned = ({ amplitude, fitted }: BandCurves): BandCurves => ({ amplitude: kept.map((row) => amplitude[row]), fitted });
  return { ...report, curves: { tile: kept.map((row) => curves.tile[row]), ...thinned(curves), coarser: curves.coarser?.map(thinned), spectrum: curves.spectrum } };
}

function spread(rows: readonly number[], most: number): number[] {
  const every = Math.max(1, rows.length / Math.max(1, Math.floor(most)));
  return Array.from({ length: Math.floor(rows.length / every) }, (_, i) => rows[Math.floor(i * every)]);
}
