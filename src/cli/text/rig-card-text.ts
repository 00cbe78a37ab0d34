import type { RigCardInfo, RigField } from '../../contract/host.js';

const ROWS: readonly { field: RigField; name: string; show: (value: number) => string; absent: string }[] = [
  { field: 'magnification', name: 'magnification', show: (v) => `${plain(v)}×`, absent: 'not known: lengths come in depths of field' },
  { field: 'fNumber', name: 'marked aperture', show: (v) => `f/${plain(v)}`, absent: 'read from the files, where the lens writes it' },
  { field: 'pupilRatio', name: 'pupil ratio', show: (v) => plain(v), absent: 'assumed to be 1' },
  { field: 'pixelPitchUm', name: 'pixel pitch', show: (v) => `${plain(v)} µm`, absent: 'read from the files, else assumed to be 3.9 µm' },
  { field: 'wavelengthNm', name: 'wavelength', show: (v) => `${plain(v)} nm`, absent: 'assumed to be 550 nm' },
  { field: 'railUnitUm', name: 'rail unit', show: (v) => `${plain(v)} µm`, absent: 'not known: moves are said in µm' },
  { field: 'workingDistanceMm', name: 'working distance', show: (v) => `${plain(v)} mm`, absent: 'not known: the room left can’t be said' },
];

const plain = (value: number): string => String(Number(value.toPrecision(5)));

/** A set-up line by line, with what is assumed where it says nothing. */
export function rigCardText(card: RigCardInfo): string {
  const lines = ROWS.map(({ field, name, show, absent }) => {
    const value = card.values[field];
    return `  ${name.padEnd(17)}${value === undefined ? `(${absent})` : show(value)}`;
  });
  const camera = card.cameraModel === undefined ? [] : [`  ${'camera'.padEnd(17)}${card.cameraModel}; picked by itself for its frames`];
  return `${[card.name, ...lines, ...camera].join('\n')}\n`;
}
