import type { Command } from 'commander';
import { UserError } from '../../contract/errors.js';
import type { RigCardInfo } from '../../contract/host.js';
import { findRigCard, rigCardFolder } from '../../io/find-rig-card.js';
import { cameraModelOf } from '../../io/pick-rig-card.js';
import { rigCardInfo } from '../../io/rig-card-store.js';
import type { CommandContext } from '../command-context.js';
import { addRigOptions, readRig, type RigOptions } from '../rig-options.js';
import { rigCardText } from '../text/rig-card-text.js';

interface SaveOptions extends RigOptions { camera?: string; cameraOf?: string }

const EXAMPLES = `
Examples:
  Save a set-up, then use it:
    rungwise rig save "Bench, 5x" --magnification 5 --aperture 2.8 \\
      --pixel-pitch 3.9 --rail-unit 10
    rungwise check shots/ --rig "Bench, 5x"
  Have it picked by itself for the camera that shot a stack:
    rungwise rig save "Bench, 5x" --rig "Bench, 5x" --camera-of shots/
  Change one value of it:
    rungwise rig save "Bench, 5x" --rig "Bench, 5x" --aperture 4

A card is picked by itself where it is the only one saved for the camera.
Cards are small JSON files, described in docs/rig-card.schema.json; a card's
file can be given to --rig as well.
`;

/** `rungwise rig list | show | save | delete` */
export function registerRig(program: Command, context: CommandContext): void {
  const rig = program.command('rig').summary('saved set-ups: list, show, save, delete')
    .description('Saved set-ups (rig cards): what is known of lens, sensor and rail, under a name.')
    .addHelpText('after', EXAMPLES);
  const say = (text: string): void => context.stdout.write(text);
  rig.command('list', { isDefault: true }).description('show all saved set-ups').action(() => list(say));
  rig.command('show').argument('<name>', 'the name it was saved under, or its file').description('show what a set-up says, and what it leaves to be assumed')
    .action(async (name: string) => say(rigCardText(rigCardInfo(await findRigCard(name)))));
  addRigOptions(rig.command('save').argument('<name>', 'any name').description('save a set-up, or replace the one of that name'))
    .optionsGroup('When it is picked by itself:')
    .option('--camera <MODEL>', 'for frames of this camera, as the camera calls itself in its files')
    .option('--camera-of <FOLDER>', 'for frames of the camera that shot this stack')
    .action((name: string, options: SaveOptions) => save(name, options, say));
  rig.command('delete').argument('<name>', 'the name it was saved under').description('delete a saved set-up')
    .action(async (name: string) => say(`Deleted the rig card "${await rigCardFolder().delete(name)}".\n`));
}

async function list(say: (text: string) => void): Promise<void> {
  const { cards, problems } = await rigCardFolder().read();
  if (cards.length === 0 && problems.length === 0) say('No set-up is saved yet. Save one with: rungwise rig save NAME --magnification 5 --aperture 2.8\n');
  for (const card of cards) say(rigCardText(card));
  for (const problem of problems) say(`! ${problem}\n`);
}

async function save(name: string, options: SaveOptions, say: (text: string) => void): Promise<void> {
  const { values } = await readRig(options, null);
  const known: RigCardInfo['values'] = Object.fromEntries(Object.entries(values).map(([key, value]) => [key, value.value]));
  if (Object.keys(known).length === 0) throw new UserError('There is nothing to save yet.', 'Give what you know of the set-up, such as --magnification 5 --aperture 2.8.');
  const cameraModel = await cameraOf(options);
  const card: RigCardInfo = { name, ...(cameraModel === null ? {} : { cameraModel }), values: known };
  await rigCardFolder().save(card);
  say(`Saved. Use it with --rig "${name.trim()}".\n${rigCardText(card)}`);
}

/** The camera named now, else the one on the card that is changed. */
async function cameraOf({ camera, cameraOf: folder, rig }: SaveOptions): Promise<string | null> {
  if (camera !== undefined) return camera;
  if (folder !== undefined) {
    const model = await cameraModelOf(folder);
    if (model === null) throw new UserError(`The frames in ${folder} don't say which camera shot them.`, 'Name it with --camera.');
    return model;
  }
  return typeof rig === 'string' ? (await findRigCard(rig)).cameraModel ?? null : null;
}
