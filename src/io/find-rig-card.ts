import { access } from 'node:fs/promises';
import path from 'node:path';
import { UserError } from '../contract/errors.js';
import { RigCardFolder } from './rig-card-store.js';
import { loadRigCard, type RigCard } from './rig-card.js';
import { settingsFolder } from './settings-folder.js';

/** Saved cards lie here. */
export const rigCardFolder = (): RigCardFolder => new RigCardFolder(path.join(settingsFolder(), 'rig-cards'));

/**
 * A rig card by its file, or by the name it was saved under.
 *
 * @throws UserError where there is neither, or the card can't be used
 */
export async function findRigCard(nameOrFile: string): Promise<RigCard> {
  const isFile = await access(nameOrFile).then(() => true, () => false);
  if (isFile || /[\\/]|\.json$/i.test(nameOrFile)) return loadRigCard(nameOrFile);
  const folder = rigCardFolder();
  const card = await folder.named(nameOrFile);
  if (card !== null) return card;
  const saved = await folder.list();
  const known = saved.length === 0 ? 'None is saved yet; give the file of one' : `Saved are: ${saved.map(({ name }) => name).join(', ')}`;
  throw new UserError(`There is no rig card called ${nameOrFile}, and no such file.`, `${known}.`);
}
