import type { OpticsKey, Report, SourcedValue, ValueSource } from '../../contract/report.js';
import { rigCardSentence } from '../../optics/rig-card-sentence.js';
import { lengthText } from '../../optics/number-text.js';
import { wrapText } from './wrap-text.js';
import type { TextStyle } from './text-style.js';

const origins: Record<ValueSource, string> = {
  option: 'given', 'rig-card': 'rig card', exif: 'from the files', default: 'assumed', derived: 'worked out', unknown: 'not known',
};

const rows: readonly { key: OpticsKey; show: (value: number) => string; flag: string }[] = [
  { key: 'magnification', show: (v) => `magnification ${rounded(v)}`, flag: '--magnification' },
  { key: 'fNumber', show: (v) => `f/${rounded(v)}`, flag: '--aperture' },
  { key: 'pupilRatio', show: (v) => `pupil ratio ${rounded(v)}`, flag: '--pupil-ratio' },
  { key: 'pixelPitchUm', show: (v) => `pixel pitch ${rounded(v)} µm`, flag: '--pixel-pitch' },
  { key: 'wavelengthNm', show: (v) => `wavelength ${rounded(v)} nm`, flag: '--wavelength' },
];

/** What the figures rest on: values with their origin, what was assumed, and which option would tell more. */
export function assumptionText(report: Report, style: TextStyle): string[] {
  const { optics } = report;
  const known = rows.filter(({ key }) => optics[key].value !== null);
  const sentences: string[] = [];
  if (known.length > 0) sentences.push(`Set-up: ${known.map(({ key, show }) => `${show(optics[key].value ?? 0)} (${origins[optics[key].source]})`).join(', ')}.`);
  if (report.rigCard) sentences.push(rigCardSentence(report.rigCard));
  sentences.push(...derived(optics.effectiveFNumber, optics.dofUm));
  if (optics.dofUm.value === null) sentences.push(unknownScale(report));
  if (optics.pupilRatio.source === 'default') sentences.push('The pupil ratio is assumed to be 1. Another one changes the depth of field several-fold: measure exit and entrance pupil with a ruler and give their ratio with --pupil-ratio.');
  return sentences.flatMap((sentence) => wrapText(sentence, style.columns, '  '));
}

function derived(effective: SourcedValue, dofUm: SourcedValue): string[] {
  if (effective.value === null || dofUm.value === null) return [];
  return [`Effective aperture f/${rounded(effective.value)}, depth of field (DOF) ${lengthText(dofUm.value)}.`];
}

function unknownScale(report: Report): string {
  const missing = rows.filter(({ key }) => (key === 'magnification' || key === 'fNumber') && report.optics[key].value === null).map(({ flag }) => flag);
  const give = missing.length > 0 ? ` For µm give ${missing.join(' and ')}, or a rig card with --rig.` : '';
  const manual = report.optics.fNumber.value === null ? ' (A manual lens writes no aperture into the file.)' : '';
  return `Depths are in units of the depth of field (DOF), measured from the pictures themselves.${give}${manual}`;
}

function rounded(value: number): string {
  return String(Number(value.toPrecision(4)));
}
