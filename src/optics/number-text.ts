/** Numbers as a photographer reads them: no more digits than they are worth. */

/**
 * How closely lengths are said: as measured; in the columns of a ladder; to be read from afar; as a hand on a rail can move; as they stand beside drawings in the
 * window, a column of them alike.
 * Tenths below, hundredths below, millimetres from (all in µm), and places behind the point of millimetres.
 */
const CLOSENESS = {
  measured: { tenthsBelow: 99.95, hundredthsBelow: 1, millimetresFrom: 1000, places: 2 },
  ladder: { tenthsBelow: 99.95, hundredthsBelow: 0, millimetresFrom: 10_000, places: 2 },
  glance: { tenthsBelow: 0, hundredthsBelow: 0, millimetresFrom: 1000, places: 2 },
  move: { tenthsBelow: 9.95, hundredthsBelow: 0, millimetresFrom: 1000, places: 3 },
  drawn: { tenthsBelow: 20, hundredthsBelow: 0, millimetresFrom: 10_000, places: 1 },
} as const;

/** Length with its unit: "14.9 µm", "120 µm", "1.25 mm". */
export function lengthText(um: number, closeness: keyof typeof CLOSENESS = 'measured'): string {
  const { tenthsBelow, hundredthsBelow, millimetresFrom, places } = CLOSENESS[closeness], size = Math.abs(um);
  const figure = size >= millimetresFrom ? (size / 1000).toFixed(places) : size.toFixed(size >= tenthsBelow ? 0 : size >= hundredthsBelow || size < 0.005 ? 1 : 2);
  return `${um < 0 && Number(figure) !== 0 ? '−' : ''}${figure} ${size >= millimetresFrom ? 'mm' : 'µm'}`;
}

/** Length and its uncertainty, as close as each other: "14.9 ± 0.2 µm". An uncertainty is never said to be none; null: not known, and left out. */
export function measuredText(um: number, sigmaUm: number | null): string {
  const length = lengthText(um, 'ladder');
  return sigmaUm === null ? length : withSigma(length, length.endsWith('mm') ? sigmaUm / 1000 : sigmaUm);
}

/** The same of a length said in its unit. */
export function withSigma(length: string, sigma: number): string {
  const [figure, unit] = length.split(' '), places = figure.split('.')[1]?.length ?? 0;
  return `${figure} ± ${Math.max(sigma, 10 ** -places).toFixed(places)} ${unit}`;
}

/** Length in depths of field: "0.60 DOF". */
export const dofText = (dof: number): string => `${dof.toFixed(2)} DOF`;

/** In µm where the optics are known, else in depths of field. */
export function depthText(um: number | null, dof: number | null, closeness: keyof typeof CLOSENESS = 'measured'): string {
  if (um !== null) return lengthText(um, closeness);
  return dof === null ? '?' : dofText(dof);
}

/** Share of 1 as a percentage: "12 %", "2.4 %", "below 0.1 %". */
export function shareText(share: number): string {
  const percent = 100 * share;
  if (percent > 0 && percent < 0.1) return 'below 0.1 %';
  return `${percent.toFixed(percent !== 0 && percent < 9.95 ? 1 : 0)} %`;
}

/** "1 frame", "3 frames". */
export function countText(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}
