import type { Command } from 'commander';
import type { RigValues } from '../pipeline/analyse-request.js';
import { findRigCard } from '../io/find-rig-card.js';
import { rigLimits, type RigKey } from '../io/rig-limits.js';
import { fileOption, numberOption } from './number-option.js';

/** What commander holds after parsing the options below. */
export interface RigOptions {
  magnification?: number; aperture?: number; pupilRatio?: number; pixelPitch?: number;
  wavelength?: number; railUnit?: number; workingDistance?: number; rig?: string;
}

interface OptionRow { key: RigKey; name: keyof Omit<RigOptions, 'rig'>; flag: string; value: string; help: string }

/** One row a value; the help, the ranges and the messages all follow from it. */
export const rigOptionRows: readonly OptionRow[] = [
  { key: 'magnification', name: 'magnification', flag: '--magnification', value: 'M', help: 'magnification on the sensor, such as 5' },
  { key: 'fNumber', name: 'aperture', flag: '--aperture', value: 'N', help: 'marked f-number, such as 2.8' },
  { key: 'pupilRatio', name: 'pupilRatio', flag: '--pupil-ratio', value: 'P', help: 'exit pupil over entrance pupil diameter (assumed 1 where not given)' },
  { key: 'pixelPitchUm', name: 'pixelPitch', flag: '--pixel-pitch', value: 'UM', help: 'distance between pixels on the sensor, in µm' },
  { key: 'wavelengthNm', name: 'wavelength', flag: '--wavelength', value: 'NM', help: 'wavelength of the light, in nm (assumed 550 where not given)' },
  { key: 'railUnitUm', name: 'railUnit', flag: '--rail-unit', value: 'UM', help: 'travel of one rail mark, turn or pulse, in µm' },
  { key: 'workingDistanceMm', name: 'workingDistance', flag: '--working-distance', value: 'MM', help: 'from the front of the lens to the subject, in mm' },
];

/** Adds the options that describe the set-up. */
export function addRigOptions(command: Command): Command {
  command.optionsGroup('The set-up (options go before the rig card, the card before EXIF):');
  for (const row of rigOptionRows) {
    command.option(`${row.flag} <${row.value}>`, row.help, numberOption(row.flag, rigLimits[row.key]));
  }
  return command.option('--rig <FILE>', 'a saved rig card, by name or file, which holds all of these', fileOption('--rig', 'bench.rig.json'));
}

/**
 * Merges options over the rig card; what neither says stays absent.
 * @throws UserError where the card can't be read
 */
export async function readRigValues(options: RigOptions): Promise<RigValues> {
  const values: RigValues = options.rig === undefined ? {} : rigValuesOfCard(await findRigCard(options.rig));
  for (const row of rigOptionRows) {
    const value = options[row.name];
    if (value !== undefined) values[row.key] = { value, source: 'option' };
  }
  return values;
}

function rigValuesOfCard(card: Partial<Record<RigKey, number>>): RigValues {
  const values: RigValues = {};
  for (const { key } of rigOptionRows) {
    const value = card[key];
    if (value !== undefined) values[key] = { value, source: 'rig-card' };
  }
  return values;
}

/** The option that fills a value, for "give --aperture" in messages. */
export function flagOf(key: RigKey): string {
  return rigOptionRows.find((row) => row.key === key)?.flag ?? '--rig';
}
