import { UserError } from '../../../src/contract/errors.js';
import type { RigCardInfo } from '../../../src/contract/host.js';
import type { RigCardStore } from '../../../src/serve/rig-card-store.js';

/** Rig cards that are gone with the test. */
export function memoryCards(): RigCardStore {
  let cards: RigCardInfo[] = [];
  const named = (name: string): RigCardInfo => {
    const found = cards.find((card) => card.name === name);
    if (!found) throw new UserError(`There is no rig card called ${name}.`, 'Look at the list of saved cards.');
    return found;
  };
  return {
    list: async () => cards,
    save: async (card) => (cards = [...cards.filter((each) => each.name !== card.name), card]),
    rename: async (name, to) => {
      if (cards.some((card) => card.name === to && card.name !== name)) throw new UserError(`There is a rig card called ${to} already.`, 'Choose another name, or delete that card first.');
      const old = named(name);
      return (cards = cards.map((card) => (card === old ? { ...card, name: to } : card)));
    },
    delete: async (name) => { const old = named(name); cards = cards.filter((card) => card !== old); return name; },
  };
}
