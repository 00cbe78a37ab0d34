import { UserError } from '../contract/errors.js';
import type { ExportedFile, ExportFormat } from '../contract/host.js';
import { renderHtmlReport } from '../io/html-report.js';
import { framesCsv, stepsCsv } from '../io/report-csv.js';
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
  return { fileName: `${name}.html`, mediaType: 'text/html', text: renderHtmlReport(report) };
}
