import type { Grade, Report, Step } from '../../contract/report.js';
import { frameLabels } from '../../optics/frame-labels.js';
import { HARMFUL_SHARE } from './missing-bands.js';
import { lengthText, shareText } from '../../optics/number-text.js';
import { html, type Markup } from './markup.js';

/** Marks differ in shape as well, so that no grade hangs on colour. */
const GRADE_WORDS: Record<Grade, string> = { good: '● good', thin: '◐ thin', gap: '▲ gap', unmeasured: '? not measured' };

/** Every step in depth order with its uncertainty, overlap and what is soft there. */
export function stepsTable(report: Report): Markup | null {
  if (report.steps.length === 0) return null;
  const labels = frameLabels(report.stack.frames.map((frame) => frame.file));
  const dofUm = report.optics.dofUm.value;
  return html`<h2>Steps</h2>
  <table><thead><tr><th>from</th><th>to</th><th class="n">step</th><th class="n">± 1 sigma</th><th class="n">of the DOF</th><th class="n">overlap</th><th>grade</th><th class="n">soft area</th><th class="n">surface there</th></tr></thead>
  <tbody>${report.steps.map((step) => html`<tr class="${isHarmless(step) ? 'empty' : step.grade}"><td class="label">${labels[step.from]}</td><td class="label">${labels[step.to]}</td>
    <td class="n">${lengthCell(step, dofUm)}</td><td class="n">${sigmaCell(step, dofUm)}</td><td class="n">${step.stepDof === null ? '–' : `${step.stepDof.toFixed(2)} ×`}</td>
    <td class="n">${step.overlap === null ? '–' : step.overlap < 0 ? 'none' : `${Math.round(step.overlap * 100)} %`}</td><td class="label">${isHarmless(step) ? '△ empty gap' : GRADE_WORDS[step.grade]}</td>
    <td class="n">${shareText(step.softAreaShare)}</td><td class="n">${shareText(step.surfaceShare)}</td></tr>`)}</tbody></table>`;
}

/** A gap in which no surface lies changes no verdict. */
const isHarmless = (step: Step): boolean => step.grade === 'gap' && step.softAreaShare < HARMFUL_SHARE;

function lengthCell(step: Step, dofUm: number | null): string {
  if (step.stepDof === null) return 'not known';
  const length = dofUm === null ? `${step.stepDof.toFixed(2)} DOF` : lengthText(step.stepUm ?? step.stepDof * dofUm, 'ladder');
  return `${step.atLeast ? 'at least ' : ''}${length}`;
}

function sigmaCell(step: Step, dofUm: number | null): string {
  if (step.sigmaDof === null) return '–';
  return dofUm === null ? `${step.sigmaDof.toFixed(3)} DOF` : lengthText(step.sigmaDof * dofUm);
}
