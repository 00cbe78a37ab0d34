import type { Frame, FrameFlag, Report } from '../../contract/report.js';
import { depthFigure, signedFigure } from './figures.js';
import { html, type Markup } from './markup.js';

const FLAG_WORDS: Record<FrameFlag, string> = {
  blurred: 'blurred: does not count', repeat: 'repeats a depth', shifted: 'shifted sideways', exposure: 'differs in brightness',
  'subject-moved': 'the subject moved', 'no-detail': 'nothing in focus', unreadable: 'can’t be read', 'other-size': 'another size',
};

/** Every frame in file order, with its place and what was noticed about it. */
export function framesTable(report: Report): Markup {
  const dofUm = report.optics.dofUm.value;
  return html`<h2>Frames</h2>
  <table><thead><tr><th>file</th><th class="n">depth</th><th class="n">± 1 sigma</th><th class="n">brightness, EV</th><th class="n">shift, px</th><th class="n">contrast</th><th>noticed</th></tr></thead>
  <tbody>${report.stack.frames.map((frame) => html`<tr><td class="file">${frame.file}</td><td class="n">${frame.positionDof === null ? 'no place' : depthFigure(frame.positionDof, dofUm, 'ladder')}</td>
    <td class="n">${frame.positionSigmaDof === null ? '–' : depthFigure(frame.positionSigmaDof, dofUm)}</td><td class="n">${signedFigure(frame.exposureEv, 2)}</td>
    <td class="n">${shiftFigure(frame)}</td><td class="n">${Math.round(frame.contrast * 100)} %</td><td>${frame.flags.map((flag) => FLAG_WORDS[flag]).join(', ')}</td></tr>`)}</tbody></table>`;
}

function shiftFigure(frame: Frame): string {
  return Math.hypot(frame.shiftPx.row, frame.shiftPx.column).toFixed(1);
}
