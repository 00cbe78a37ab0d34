import { dofText, lengthText } from '../../optics/number-text.js';

/** In µm where the optics are known, else in depths of field. */
export const depthFigure = (dof: number, dofUm: number | null, closeness?: 'ladder'): string => (dofUm === null ? dofText(dof) : lengthText(dof * dofUm, closeness));

/** With its sign, as a typographer sets it. */
export function signedFigure(value: number, digits: number): string {
  const text = Math.abs(value).toFixed(digits);
  return Number(text) === 0 ? text : `${value < 0 ? '−' : '+'}${text}`;
}
