import { rigCardSentence } from '../../optics/rig-card-sentence.js';
import type { OpticsKey, Report, ValueSource } from '../../contract/report.js';
import { lengthText } from '../../optics/number-text.js';
import { html, type Markup } from './markup.js';

const SOURCE_WORDS: Record<ValueSource, string> = {
  option: 'given', 'rig-card': 'rig card', exif: 'from the files', default: 'assumed', derived: 'worked out', unknown: 'not known',
};
const plain = (value: number): string => String(Number(value.toPrecision(4)));
const ROWS: { key: OpticsKey; name: string; show: (value: number) => string }[] = [
  { key: 'magnification', name: 'Magnification', show: (v) => `${plain(v)}×` },
  { key: 'fNumber', name: 'Marked aperture', show: (v) => `f/${plain(v)}` },
  { key: 'pupilRatio', name: 'Pupil ratio', show: plain },
  { key: 'pixelPitchUm', name: 'Pixel pitch', show: (v) => `${plain(v)} µm` },
  { key: 'wavelengthNm', name: 'Wavelength', show: (v) => `${plain(v)} nm` },
  { key: 'effectiveFNumber', name: 'Aperture at work', show: (v) => `f/${plain(v)}` },
  { key: 'numericalAperture', name: 'Numerical aperture', show: (v) => v.toFixed(4) },
  { key: 'dofUm', name: 'Depth of field (DOF)', show: lengthText },
];

/** What the figures rest on, each value with where it came from, and what was assumed. */
export function setUpSection(report: Report): Markup {
  const assumed = report.optics.pupilRatio.source === 'default';
  return html`<h2>What the figures rest on</h2>
  <div class="rests"><table class="narrow"><tbody>${ROWS.map(({ key, name, show }) => {
    const { value, source } = report.optics[key];
    return html`<tr><td>${name}</td><td class="n">${value === null ? '–' : show(value)}</td><td class="quiet">${SOURCE_WORDS[value === null ? 'unknown' : source]}</td></tr>`;
  })}</tbody></table><div>
  ${report.rigCard ? html`<p>${rigCardSentence(report.rigCard)}</p>` : null}
  ${report.optics.dofUm.value === null ? html`<p>Magnification, aperture or pixel pitch is not known, so depths are said in depths of field (DOF), measured from the pictures themselves.</p>` : null}
  ${assumed ? html`<p>The pupil ratio was assumed to be 1. A lens with another one changes every length in µm: measure exit and entrance pupil with a ruler.</p>` : null}
  <p class="quiet">A depth counts as sharp where fine detail keeps at least four fifths of its contrast in some frame. Overlap is one minus step over DOF: good from 20 %, thin below, a gap where there is none. A gap counts where at least 0.5 % of the picture lies soft in it.</p>
  <p class="quiet path">rungwise ${report.version}. Folder: ${report.stack.folder}</p></div></div>`;
}
