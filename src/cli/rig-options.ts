import type { Command } from 'commander';
import type { RigValues } from '../pipeline/analyse-request.js';
import type { Report } from '../contract/report.js';
import { findRigCard } from '../io/find-rig-card.js';
import { pickRigCard } from '../io/pick-rig-card.js';
import { rigLimits, type RigKey } from '../io/rig-limits.js';
import { fileOption, numberOption } from './number-option.js';

/** What commander holds after parsing the options below. */
export interface RigOptions {
  magnification?: number; aperture?: number; pupilRatio?: number; pixelPitch?: number;
  wavelength?: number; railUnit?: number; workingDistance?: number;
  /** False: no card is picked by the camera either. */
  rig?: string | false;
}

/** The set-up, and the card some of it came from. */
export interface RigReading { values: RigValues; card: NonNullable<Report['rigCard']> | null }

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
  return command.option('--rig <NAME>', 'a rig card that holds all of these, by the name it was saved under or by its file', fileOption('--rig', 'bench.rig.json'))
    .option('--no-rig', 'use no rig card, not even one saved for the camera that shot the frames');
}

/**
 * Merges options over the rig card; what neither says stays absent. Without a card named, one saved for the stack's camera is taken.
 *
 * @param folder the stack, or null where there is none yet
 * @throws UserError where the card can't be read
 */
export async function readRig(options: RigOptions, folder: string | null): Promise<RigReading> {
  const { values, card } = await readCard(options.rig, folder);
  for (const row of rigOptionRows) {
    const value = options[row.name];
    if (value !== undefined) values[row.key] = { value, source: 'option' };
  }
  return { values, card };
}

async function readCard(rig: string | false | undefined, folder: string | null): Promise<RigReading> {
  if (typeof rig === 'string') {
    const card = await findRigCard(rig);
    return { values: rigValuesOfCard(card), card: { name: card.name, pickedFor: null } };
  }
  const picked = rig === false || folder === null ? null : await pickRigCard(folder);
  return picked === null ? { values: {}, card: null } : { values: rigValuesOfCard(picked.card.values), card: { name: picked.card.name, pickedFor: picked.cameraModel } };
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
