import type { RigField, Settings } from '../../src/contract/host.js';
import type { OpticsReport, ValueSource } from '../../src/contract/report.js';

export interface RigFieldWords { field: RigField; name: string; unit: string; step: number; max: number }

/** The fields of a rig card in the order one fills them in. Largest values as the host takes them. */
export const RIG_FIELD_WORDS: readonly RigFieldWords[] = [
  { field: 'magnification', name: 'Magnification', unit: '×', step: 0.1, max: 50 }, { field: 'fNumber', name: 'Marked aperture', unit: 'f/', step: 0.1, max: 128 },
  { field: 'pupilRatio', name: 'Pupil ratio', unit: '', step: 0.05, max: 10 }, { field: 'pixelPitchUm', name: 'Pixel pitch', unit: 'µm', step: 0.01, max: 30 },
  { field: 'railUnitUm', name: 'Rail unit', unit: 'µm', step: 0.1, max: 1e5 }, { field: 'workingDistanceMm', name: 'Working distance', unit: 'mm', step: 0.5, max: 1e4 },
];

export const SOURCE_WORDS: Record<ValueSource, string> = { 'option': 'entered', 'rig-card': 'rig card', 'exif': 'from file', 'default': 'assumed', 'derived': 'worked out', 'unknown': 'unknown' };

/** What is known of a field and from where: what the report used, else what was set. */
export function knownOf(field: RigField, settings: Settings, optics: OpticsReport | null): { value: number | null; source: ValueSource } {
  if (optics && field in optics && field !== 'wavelengthNm') return optics[field as keyof OpticsReport];
  const entered = settings.entered[field], saved = settings.rigCard?.values[field];
  return entered !== undefined ? { value: entered, source: 'option' } : saved !== undefined ? { value: saved, source: 'rig-card' } : { value: null, source: 'unknown' };
}

export const rigValue = (field: RigField, settings: Settings): number | null => settings.entered[field] ?? settings.rigCard?.values[field] ?? null;
