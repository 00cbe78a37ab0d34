import { UserError } from '../contract/errors.js';
import type { ExportedFile, ExportFormat, Settings } from '../contract/host.js';
import type { Report } from '../contract/report.js';
import { heightMapPng, heightMapTiff } from '../io/height-map-file.js';
import { heightMapOf } from '../io/height-map.js';
import { renderHtmlReport } from '../io/html-report.js';
import { pdfOfPage } from '../io/pdf-of-page.js';
import { framesCsv, stepsCsv } from '../io/report-csv.js';
import { railKnowledge } from '../pipeline/rail-knowledge.js';
import { rigOfSettings } from './analysis/rig-of-settings.js';
import type { OpenStack } from './stacks/stack-registry.js';

/**
 * The last report as a file for the window to save.
 * @throws UserError where there is no report yet, or nothing of what was asked for
 */
export async function exportReport(stack: OpenStack, format: ExportFormat, settings: Settings): Promise<ExportedFile> {
  const { report } = stack;
  if (!report) throw new UserError('There is no report yet.', 'Let the analysis finish first.');
  const name = stack.info.name || 'stack';
  const text = (ending: string, mediaType: string, content: string): ExportedFile => ({ fileName: `${name}${ending}`, mediaType, encoding: 'text', content });
  const binary = (ending: string, mediaType: string, bytes: Buffer): ExportedFile => ({ fileName: `${name}${ending}`, mediaType, encoding: 'base64', content: bytes.toString('base64') });
  switch (format) {
    case 'json': return text('.rungwise.json', 'application/json', JSON.stringify(published(report), null, 1));
    case 'csv-steps': return text('-steps.csv', 'text/csv', stepsCsv(report));
    case 'csv-frames': return text('-frames.csv', 'text/csv', framesCsv(report));
    case 'height-tiff': return binary('-height.tif', 'image/tiff', heightMapTiff(heightMapOf(report)));
    case 'height-png': return binary('-height.png', 'image/png', heightMapPng(heightMapOf(report)));
    case 'html': return text('.html', 'text/html', page(report, settings));
    case 'pdf': return binary('.pdf', 'application/pdf', await pdfOfPage(page(report, settings)));
  }
}

/** Curves are left out of the JSON: they are the window's own. */
function published(report: Report): Report {
  const rest = { ...report };
  delete rest.curves;
  return rest;
}

function page(report: Report, settings: Settings): string {
  return renderHtmlReport(report, railKnowledge(rigOfSettings(settings)));
}
