import type { OpticsReport, SourcedValue } from '../contract/report.js';
import { cutoffCyclesPerPixel } from '../optics/cutoff-frequency.js';
import { effectiveFNumber } from '../optics/effective-f-number.js';
import { numericalAperture } from '../optics/numerical-aperture.js';
import { standardDofFactor } from '../optics/standard-depth-of-field.js';
import { DEFAULT_WAVELENGTH_NM, waveDepthOfFieldUm } from '../optics/wave-depth-of-field.js';
import type { RigValue, RigValues } from './analyse-request.js';
import type { FrameFacts } from './frame-source.js';

/** What follows from the optics for the measurement. */
export interface ResolvedOptics {
  report: OpticsReport;
  /** Cycles per source pixel; null: not known, to be found from the frames. */
  cutoff: number | null;
  /** λ/NA² in µm, the unit the ladder is solved in; null: not known. */
  waveDofUm: number | null;
}

/**
 * Pitch assumed where the lens is known and nobody gave one: a 24-megapixel sensor of 23.5 mm width has 3.9 µm. Always said as an
 * assumption, since every µm in the report is in proportion to it.
 */
export const ASSUMED_PIXEL_PITCH_UM = 3.9;

const UNKNOWN: SourcedValue = { value: null, source: 'unknown' };

/**
 * Merges what is known: options and rig card first, then what the camera wrote, then the defaults for pupil ratio and wavelength.
 *
 */
export function resolveOptics(rig: RigValues, facts: FrameFacts | null): ResolvedOptics {
  const fromExif = (value: number | null | undefined): SourcedValue => (value != null ? { value, source: 'exif' } : UNKNOWN);
  const given = (value: RigValue | undefined, fallback: SourcedValue): SourcedValue => value ?? fallback;
  const magnification = given(rig.magnification, UNKNOWN);
  const fNumber = given(rig.fNumber, fromExif(facts?.fNumber));
  const pupilRatio = given(rig.pupilRatio, { value: 1, source: 'default' });
  const lensKnown = magnification.value !== null && fNumber.value !== null;
  const sensorPitchUm = given(rig.pixelPitchUm, facts?.pixelPitchUm == null && lensKnown ? { value: ASSUMED_PIXEL_PITCH_UM, source: 'default' } : fromExif(facts?.pixelPitchUm));
  // A picture smaller than its shot has larger pixels than the sensor.
  const span = facts?.sensorPixelsPerPixel ?? 1;
  const pixelPitchUm: SourcedValue = span === 1 || sensorPitchUm.value === null ? sensorPitchUm : { value: sensorPitchUm.value * span, source: 'derived' };
  const wavelengthNm = given(rig.wavelengthNm, { value: DEFAULT_WAVELENGTH_NM, source: 'default' });
  const derived = (value: number | null): SourcedValue => (value === null ? UNKNOWN : { value, source: 'derived' });
  let effective: number | null = null, na: number | null = null, waveDofUm: number | null = null, cutoff: number | null = null, dofUm: number | null = null;
  if (magnification.value !== null && fNumber.value !== null) {
    effective = effectiveFNumber(fNumber.value, magnification.value, pupilRatio.value!);
    na = numericalAperture(magnification.value, effective);
    waveDofUm = waveDepthOfFieldUm(wavelengthNm.value!, na);
    if (pixelPitchUm.value !== null) {
      cutoff = cutoffCyclesPerPixel(wavelengthNm.value!, effective, pixelPitchUm.value);
      dofUm = waveDofUm * standardDofFactor(cutoff);
    }
  }
  return {
    report: { magnification, fNumber, pupilRatio, pixelPitchUm, wavelengthNm, effectiveFNumber: derived(effective), numericalAperture: derived(na), dofUm: derived(dofUm) },
    cutoff, waveDofUm,
  };
}
