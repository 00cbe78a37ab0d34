import { lengthText } from '../../src/optics/number-text.js';

/** Numbers as the photographer reads them: a sensible number of digits, a thin space before the unit, a true minus sign. */

export const THIN = '\u202f';

const digits = (value: number, places: number): string => (Math.abs(value) < 0.5 * 10 ** -places ? 0 : value).toFixed(places).replace('-', '−');

/** Length in µm; millimetres from 10 000 µm on. */
export const um = (value: number | null): string => (value === null || !Number.isFinite(value) ? '–' : lengthText(value, 'drawn').replace(' ', THIN));

export const dof = (value: number | null): string => (value === null || !Number.isFinite(value) ? '–' : `${digits(value, 2)}${THIN}DOF`);

/** Depth or length in µm where optics are known, else in DOF. */
export const depth = (valueDof: number | null, dofUm: number | null): string =>
  (valueDof === null ? '–' : dofUm === null ? dof(valueDof) : um(valueDof * dofUm));

export function percent(share: number | null): string {
  if (share === null || !Number.isFinite(share)) return '–';
  if (share > 0 && share < 0.005) return `under 0.5${THIN}%`;
  return `${digits(share * 100, share < 0.02 ? 1 : 0)}${THIN}%`;
}

export const plain = (value: number | null, places = 2): string => (value === null || !Number.isFinite(value) ? '–' : digits(value, places));

export const signed = (value: number, places = 2): string => (value > 0 && Number(value.toFixed(places)) > 0 ? `+${digits(value, places)}` : digits(value, places));

export function duration(ms: number): string {
  const seconds = Math.max(1, Math.round(ms / 1000));
  return seconds < 60 ? `${seconds}${THIN}s` : `${Math.floor(seconds / 60)}${THIN}min ${seconds % 60}${THIN}s`;
}

const WORDS = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten', 'eleven', 'twelve'];
/** "two frames", "17 frames". */
export const countOf = (count: number, one: string, many = `${one}s`): string => `${WORDS[count] ?? count} ${count === 1 ? one : many}`;
