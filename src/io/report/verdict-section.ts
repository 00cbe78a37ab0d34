import type { Decision, Report } from '../../contract/report.js';
import { verdictHeadline } from '../../optics/verdict-headline.js';
import { shareText } from '../../optics/number-text.js';
import { depthFigure } from './figures.js';
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
    ...(dofUm === null ? [] : [[depthFigure(1, dofUm), 'depth of field'] as [string, string]]),
    [shareText(soft), 'of the picture soft'],
  ];
  return html`<section class="verdict ${report.verdict.decision}"><h1><span aria-hidden="true">${MARKS[report.verdict.decision]}</span> ${verdictHeadline(report)}</h1>
  ${report.verdict.reasons.map((reason) => html`<p>${reason}</p>`)}
  <dl>${figures.map(([value, name]) => html`<div><dd>${value}</dd><dt>${name}</dt></div>`)}</dl></section>`;
}
