/** Numbers as a photographer reads them: no more digits than they are worth. */

/** Length with its unit: "14.9 µm", "120 µm", "1.25 mm". */
export function lengthText(um: number): string {
  const size = Math.abs(um), sign = um < 0 ? '−' : '';
  if (size >= 1000) return `${sign}${(size / 1000).toFixed(2)} mm`;
  return `${sign}${size.toFixed(size >= 99.95 ? 0 : size >= 1 || size < 0.005 ? 1 : 2)} µm`;
}

/** Length in depths of field: "0.60 DOF". */
export const dofText = (dof: number): string => `${dof.toFixed(2)} DOF`;

/** In µm where the optics are known, else in depths of field. */
export function depthText(um: number | null, dof: number | null): string {
  if (um !== null) return lengthText(um);
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
