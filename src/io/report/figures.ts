/** Numbers as the report prints them. */

/** "14.9 µm", "120 µm", "1.25 mm". */
export function lengthFigure(um: number): string {
  const size = Math.abs(um);
  if (size >= 1000) return `${(um / 1000).toFixed(2)} mm`;
  return `${um.toFixed(size >= 99.95 ? 0 : 1)} µm`;
}

/** In µm where the optics are known, else in depths of field. */
export function depthFigure(dof: number, dofUm: number | null): string {
  return dofUm === null ? `${dof.toFixed(2)} DOF` : lengthFigure(dof * dofUm);
}

/** A share of 1: "12 %", "2.4 %", "0 %". */
export function shareFigure(share: number): string {
  const percent = share * 100;
  if (percent > 0 && percent < 0.1) return '< 0.1 %';
  return `${percent.toFixed(percent > 0 && percent < 9.95 ? 1 : 0)} %`;
}

/** With its sign, as a typographer sets it. */
export function signedFigure(value: number, digits: number): string {
  const text = Math.abs(value).toFixed(digits);
  return Number(text) === 0 ? text : `${value < 0 ? '−' : '+'}${text}`;
}

export function counted(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? '' : 's'}`;
}
