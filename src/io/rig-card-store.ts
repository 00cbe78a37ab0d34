import { mkdir, readdir, readFile, unlink } from 'node:fs/promises';
import path from 'node:path';
import { UserError } from '../contract/errors.js';
import { RIG_FIELDS, type RigCardInfo } from '../contract/host.js';
import { parseRigCard, RIG_SCHEMA, type RigCard } from './rig-card.js';
import { writeFileSafely } from './write-file-safely.js';

const ENDING = '.rig.json';

export interface SavedCards {
  /** By name. */
  cards: RigCardInfo[];
  /** Cards that can't be used, each with why: they are left as they are. */
  problems: string[];
}

/** Saved set-ups, one file each, in a folder of their own below the settings. */
export class RigCardFolder {
  /** @param folder need not exist until something is saved */
  constructor(private readonly folder: string) {}

  async list(): Promise<RigCardInfo[]> { return (await this.read()).cards; }

  async read(): Promise<SavedCards> {
    const found = await this.entries();
    const cards = found.flatMap(({ card }) => (card === null ? [] : [rigCardInfo(card)]));
    return { cards: cards.sort((a, b) => a.name.localeCompare(b.name)), problems: found.flatMap(({ problem }) => (problem === null ? [] : [problem])) };
  }

  /**
   * Adds a card, or replaces the one of that name.
   *
   * @returns all cards
   * @throws UserError for a card without a name or without a value, for a value out of range, or where it can't be written
   */
  async save(info: RigCardInfo): Promise<RigCardInfo[]> {
    if (Object.keys(cardOf(info)).every((key) => NO_VALUES.has(key))) throw new UserError('There is nothing to save yet.', 'Give what you know of the set-up, such as magnification and aperture.');
    const card = { ...cardOf(info), name: usableName(info.name) };
    const text = `${JSON.stringify(card, null, 2)}\n`;
    // Checked as strictly as it will be read.
    parseRigCard(text, card.name);
    await mkdir(this.folder, { recursive: true }).catch((error: NodeJS.ErrnoException) => {
      throw new UserError(`Set-ups can't be saved in ${this.folder} (${error.code ?? error.message}).`, 'Name another place in RUNGWISE_SETTINGS.');
    });
    const found = await this.entries();
    const own = found.find((entry) => entry.card?.name === card.name);
    await writeFileSafely(path.join(this.folder, own?.file ?? freeName(card.name, found.map((entry) => entry.file))), text, null);
    return this.list();
  }

  /** The card saved under a name, letters in either case; null where there is none. */
  async named(name: string): Promise<RigCard | null> {
    return entryNamed(await this.entries(), name)?.card ?? null;
  }

  /**
   * Gives a card another name; its file and all it says stay.
   *
   * @param name letters in either case
   * @returns all cards
   * @throws UserError where there is none of that name, the new one is empty or another card's, or it can't be written
   */
  async rename(name: string, to: string): Promise<RigCardInfo[]> {
    const entries = await this.entries(), found = entryNamed(entries, name), as = usableName(to), taken = entryNamed(entries, as);
    if (found === null) throw noSuchCard(name);
    if (taken !== null && taken.file !== found.file) throw new UserError(`There is a rig card called ${taken.card.name} already.`, 'Choose another name, or delete that card first.');
    const text = `${JSON.stringify({ ...found.card, name: as }, null, 2)}\n`;
    parseRigCard(text, as);
    await writeFileSafely(path.join(this.folder, found.file), text, null);
    return this.list();
  }

  /**
   * Deletes the card of a name, letters in either case.
   *
   * @returns its name as saved
   * @throws UserError where there is none, or it can't be deleted
   */
  async delete(name: string): Promise<string> {
    const found = entryNamed(await this.entries(), name);
    if (found === null) throw noSuchCard(name);
    await unlink(path.join(this.folder, found.file)).catch((error: NodeJS.ErrnoException) => {
      throw new UserError(`The rig card ${name} can't be deleted (${error.code ?? error.message}).`, `Delete ${path.join(this.folder, found.file)} yourself.`);
    });
    return found.card.name;
  }

  private async entries(): Promise<Entry[]> {
    const files = (await readdir(this.folder).catch(() => [])).filter((file) => file.endsWith(ENDING) && !file.startsWith('.')).sort();
    return Promise.all(files.map(async (file) => {
      try {
        return { file, card: parseRigCard(await readFile(path.join(this.folder, file), 'utf8'), file), problem: null };
      } catch (error) {
        return { file, card: null, problem: error instanceof UserError ? error.line : `Rig card ${file} can't be read.` };
      }
    }));
  }
}

/** What a card may hold and still say nothing. */
const NO_VALUES: ReadonlySet<string> = new Set(['schema', 'name', 'cameraModel']);

/**
 * Without the spaces around it, which nobody would type again.
 * @throws UserError where nothing is left
 */
export function usableName(name: string): string {
  const trimmed = name.trim();
  if (trimmed === '') throw new UserError('A rig card needs a name.', 'Give it one, such as "Bench, 5x".');
  return trimmed;
}

interface Entry { file: string; card: RigCard | null; problem: string | null }

/** Letters in either case. */
function entryNamed(entries: readonly Entry[], name: string): { file: string; card: RigCard } | null {
  for (const { file, card } of entries) if (card !== null && card.name.toLowerCase() === name.toLowerCase()) return { file, card };
  return null;
}

const noSuchCard = (name: string): UserError => new UserError(`There is no rig card called ${name}.`, 'Look at the list of saved cards (rungwise rig list).');

/** A card as window and command line show it. */
export function rigCardInfo(card: RigCard): RigCardInfo {
  const values = Object.fromEntries(RIG_FIELDS.flatMap((field) => (card[field] === undefined ? [] : [[field, card[field]]])));
  return { name: card.name, ...(card.cameraModel === undefined ? {} : { cameraModel: card.cameraModel }), values };
}

function cardOf({ name, cameraModel, values }: RigCardInfo): RigCard {
  const known = Object.fromEntries(RIG_FIELDS.flatMap((field) => (values[field] === undefined ? [] : [[field, values[field]]])));
  return { schema: RIG_SCHEMA, name, ...(cameraModel === undefined ? {} : { cameraModel }), ...known };
}

/** Devices of Windows, whatever ending follows (Microsoft's "Naming Files, Paths, and Namespaces"). */
const DEVICE = /^(?:con|prn|aux|nul|com\d|lpt\d)$/;

/** A file name any system takes, that no other card has. */
function freeName(name: string, taken: readonly string[]): string {
  const letters = name.normalize('NFKD').toLowerCase().replace(/×/g, 'x').replace(/[^a-z0-9]+/g, '-').replace(/^-+|-+$/g, '').slice(0, 60) || 'rig', plain = DEVICE.test(letters) ? `rig-${letters}` : letters;
  const lower = new Set(taken.map((file) => file.toLowerCase()));
  for (let n = 1; ; n++) {
    const file = `${n === 1 ? plain : `${plain}-${n}`}${ENDING}`;
    if (!lower.has(file)) return file;
  }
}
