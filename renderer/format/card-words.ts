import type { RigCardInfo } from '../../src/contract/host.js';

const value = (number: number): string => String(Number(number.toPrecision(5)));

/** What a rig card says, in a line. */
export function cardWords({ values, cameraModel }: Omit<RigCardInfo, 'name'>): string {
  const { magnification, fNumber, pupilRatio, pixelPitchUm, railUnitUm, workingDistanceMm } = values;
  const parts = [
    ...(magnification === undefined ? [] : [`${value(magnification)}×`]), ...(fNumber === undefined ? [] : [`f/${value(fNumber)}`]),
    ...(pupilRatio === undefined ? [] : [`pupil ratio ${value(pupilRatio)}`]), ...(pixelPitchUm === undefined ? [] : [`${value(pixelPitchUm)} µm pixels`]),
    ...(railUnitUm === undefined ? [] : [`rail unit ${value(railUnitUm)} µm`]), ...(workingDistanceMm === undefined ? [] : [`working distance ${value(workingDistanceMm)} mm`]),
    ...(cameraModel === undefined ? [] : [`for ${cameraModel}`]),
  ];
  return parts.length === 0 ? 'Nothing entered' : parts.join(', ');
}
