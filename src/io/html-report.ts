import type { Report } from '../contract/report.js';
import { isClearance, reportCautions } from '../optics/cautions.js';
import type { ProfileLine } from '../optics/depth-profile.js';
import { findingSentence, otherFindings } from '../optics/finding-sentence.js';
import { frameLabels } from '../optics/frame-labels.js';
import { mendedByTopUp, mendedText } from '../optics/mended-by-top-up.js';
import { topUpMoves, type RailKnowledge } from '../optics/top-up-moves.js';
import { verdictHeadline } from '../optics/verdict-headline.js';
import { framesTable } from './report/frames-table.js';
import { ladderDrawing } from './report/ladder-drawing.js';
import { html, Markup } from './report/markup.js';
import { profileDrawing } from './report/profile-drawing.js';
import { setUpSection } from './report/set-up-section.js';
import { stepsTable } from './report/steps-table.js';
import { STYLE_SHEET } from './report/style-sheet.js';
import { tileMapDrawing } from './report/tile-map-drawing.js';
import { verdictSection } from './report/verdict-section.js';

/**
 * The report as one HTML file that needs nothing else: no script, no request, readable in twenty years and printable on A4 or Letter.
 *
 * @param report a finished report, of this run or a saved one
 * @param rail what is known of the rail, to say the top-up in its units
 * @param profile a line in the picture along which the surface is drawn, or null
 */
export function renderHtmlReport(report: Report, rail: RailKnowledge = { railUnitUm: null, workingDistanceMm: null }, profile: ProfileLine | null = null): string {
  const name = report.stack.folder.replace(/[\\/]+$/, '').replace(/^.*[\\/]/, '') || report.stack.folder;
  return html`<!doctype html>
<html lang="en-GB"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:">
<title>${name}: ${verdictHeadline(report)}</title><style>${new Markup(STYLE_SHEET)}</style></head><body>
<svg width="0" height="0" style="position:absolute" aria-hidden="true"><defs><pattern id="missing" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="6" height="6" fill="#fff"/><rect width="1.6" height="6" fill="#8a2c06"/></pattern></defs></svg>
<header><span>Stack ${name}</span><span>${report.stack.frames.length} frames of ${report.stack.width} × ${report.stack.height} pixels</span></header>
${verdictSection(report)}
${mendedSection(report)}
${topUpSection(report, rail)}
${reportCautions(report).map(cautionBox)}
<h2>Ladder</h2>${ladderDrawing(report)}
<h2>Where on the picture</h2>${tileMapDrawing(report, profile)}
${profile === null ? null : profileDrawing(report, profile)}
${findingsSection(report)}
${stepsTable(report)}
${framesTable(report)}
${setUpSection(report)}
</body></html>
`.text;
}

const cautionBox = (text: string): Markup => html`<p class="caution">${text}</p>`;

function topUpSection(report: Report, rail: RailKnowledge): Markup | null {
  const guide = topUpMoves(report, rail);
  if (guide.moves.length === 0) return null;
  // What concerns the room before the lens is read before the first move is made.
  const [before, along] = [guide.cautions.filter(isClearance), guide.cautions.filter((text) => !isClearance(text))];
  return html`<h2>What to shoot now</h2><p><strong>${guide.heading}</strong></p>${before.map(cautionBox)}
  <ol>${guide.moves.map((move) => html`<li>${move.text}</li>`)}</ol>${along.map(cautionBox)}`;
}

function mendedSection(report: Report): Markup | null {
  const mended = mendedByTopUp(report);
  if (mended.length === 0) return null;
  const labels = frameLabels(report.stack.frames.map((frame) => frame.file));
  return html`<h2>What the top-up mended</h2><ul>${mended.map((entry) => html`<li>${mendedText(report, entry, labels)}</li>`)}</ul>`;
}

function findingsSection(report: Report): Markup | null {
  const findings = otherFindings(report), labels = frameLabels(report.stack.frames.map((frame) => frame.file));
  if (findings.length === 0) return null;
  return html`<h2>Noticed</h2><ul>${findings.map((finding) => html`<li>${finding.severity === 'info' ? '' : '▲ '}${findingSentence(finding, labels)}</li>`)}</ul>`;
}
