import type { Decision, Report } from '../../contract/report.js';
import { counted, depthFigure, shareFigure } from './figures.js';
import { html, type Markup } from './markup.js';

const MARKS: Record<Decision, string> = { keep: '●', 'top-up': '▲', reshoot: '■', undecided: '?' };

/** The decision as a sentence, its reasons, and the handful of figures that matter. */
export function verdictSection(report: Report): Markup {
  const dofUm = report.optics.dofUm.value;
  const soft = report.tiles.state.filter((state) => state === 'soft').length / Math.max(1, report.tiles.state.length);
  const { medianStepDof } = report.rail;
  const figures: [string, string][] = [
    [String(report.stack.frames.length), 'frames'],
    [medianStepDof === null ? '–' : depthFigure(medianStepDof, dofUm), 'usual step'],
    [dofUm === null ? 'not known' : depthFigure(1, dofUm), 'depth of field'],
    [shareFigure(soft), 'of the picture soft'],
  ];
  return html`<section class="verdict ${report.verdict.decision}"><h1><span aria-hidden="true">${MARKS[report.verdict.decision]}</span> ${headline(report)}</h1>
  ${report.verdict.reasons.map((reason) => html`<p>${reason}</p>`)}
  <dl>${figures.map(([value, name]) => html`<div><dd>${value}</dd><dt>${name}</dt></div>`)}</dl></section>`;
}

/** What to do with the rig. */
export function headline(report: Report): string {
  const missing = report.topUp.reduce((sum, entry) => sum + entry.frames, 0);
  switch (report.verdict.decision) {
    case 'keep': return 'The rig may come down: every depth of the subject is sharp in some frame.';
    case 'top-up': return `Leave the rig up: ${missing === 0 ? 'frames are' : `${counted(missing, 'frame')} ${missing === 1 ? 'is' : 'are'}`} missing.`;
    case 'reshoot': return 'Shoot this stack again: it can’t be mended by adding frames.';
    case 'undecided': return 'Cannot tell. Leave the rig up.';
  }
}
