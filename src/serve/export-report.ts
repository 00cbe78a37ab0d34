import { UserError } from '../contract/errors.js';
import type { ExportedFile, ExportFormat } from '../contract/host.js';
import type { Report } from '../contract/report.js';
import type { OpenStack } from './stacks/stack-registry.js';

/** The last report as a file for the window to save. Curves are left out of the JSON: they are the window's own. */
export function exportReport(stack: OpenStack, format: ExportFormat): ExportedFile {
  const { report } = stack;
  if (!report) throw new UserError('There is no report yet.', 'Let the analysis finish first.');
  const name = stack.info.name || 'stack';
  if (format === 'json') {
    const published = { ...report };
    delete published.curves;
    return { fileName: `${name}.rungwise.json`, mediaType: 'application/json', text: JSON.stringify(published, null, 1) };
  }
  if (format === 'csv-steps') return { fileName: `${name}-steps.csv`, mediaType: 'text/csv', text: stepsCsv(report) };
  if (format === 'csv-frames') return { fileName: `${name}-frames.csv`, mediaType: 'text/csv', text: framesCsv(report) };
  throw new UserError('The HTML report is not part of this version yet.', 'Save the JSON report instead.');
}

const cell = (value: string | number | boolean | null): string => {
  const text = value === null ? '' : String(value);
  return /[",\n\r]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
};
const lines = (rows: (string | number | boolean | null)[][]): string => rows.map((row) => row.map(cell).join(',')).join('\r\n') + '\r\n';

function stepsCsv(report: Report): string {
  const { frames } = report.stack;
  return lines([['from', 'to', 'step_dof', 'sigma_dof', 'step_um', 'overlap', 'grade', 'at_least', 'soft_area_share', 'surface_share'],
    ...report.steps.map((s) => [frames[s.from].file, frames[s.to].file, s.stepDof, s.sigmaDof, s.stepUm, s.overlap, s.grade, s.atLeast, s.softAreaShare, s.surfaceShare])]);
}

function framesCsv(report: Report): string {
  return lines([['file', 'position_dof', 'sigma_dof', 'position_um', 'exposure_ev', 'shift_row_px', 'shift_column_px', 'contrast', 'flags'],
    ...report.stack.frames.map((f) => [f.file, f.positionDof, f.positionSigmaDof, f.positionUm, f.exposureEv, f.shiftPx.row, f.shiftPx.column, f.contrast, f.flags.join(' ')])]);
}
