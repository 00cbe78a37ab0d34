/** Range of each value of a set-up; outside it, it is a slip of the keyboard rather than a lens. */
export interface Limit { min: number; max: number; what: string; unit: string; example: string }

export const rigLimits = {
  magnification: { min: 0.05, max: 50, what: 'Magnification', unit: '', example: '5' },
  fNumber: { min: 0.5, max: 64, what: 'Aperture', unit: '', example: '2.8' },
  pupilRatio: { min: 0.1, max: 10, what: 'Pupil ratio', unit: '', example: '1.2' },
  pixelPitchUm: { min: 0.3, max: 30, what: 'Pixel pitch', unit: 'µm', example: '3.9' },
  wavelengthNm: { min: 300, max: 1100, what: 'Wavelength', unit: 'nm', example: '550' },
  railUnitUm: { min: 0.01, max: 10_000, what: 'Rail unit', unit: 'µm', example: '10' },
  workingDistanceMm: { min: 0.1, max: 2_000, what: 'Working distance', unit: 'mm', example: '42' },
} as const satisfies Record<string, Limit>;

export type RigKey = keyof typeof rigLimits;

/** "from 0.5 to 64", with the unit. */
export function limitText(limit: Limit): string {
  return `from ${limit.min} to ${limit.max}${limit.unit === '' ? '' : ` ${limit.unit}`}`;
}
