/**
 * Modulation transfer of an aberration-free lens with a circular pupil in focus, (2/π)(acos s − s √(1−s²)).
 *
 * @param s frequency over the cutoff, 0 or more
 * @returns 1 … 0; 0 beyond the cutoff
 * @throws RangeError for a negative s or NaN
 */
export function inFocusMtf(s: number): number {
  if (!(s >= 0)) throw new RangeError(`frequency ratio must be 0 or more, got ${s}`);
  if (s >= 1) return 0;
  return (2 / Math.PI) * (Math.acos(s) - s * Math.sqrt(1 - s * s));
}
