import type { RigCardInfo } from '../contract/host.js';

/** Saved set-ups, wherever they are kept. */
export interface RigCardStore {
  list(): Promise<RigCardInfo[]>;
  /** Adds the card, or replaces the one of that name; gives all of them. */
  save(card: RigCardInfo): Promise<RigCardInfo[]>;
  /** @throws UserError where there is no card of that name, or another has the new one */
  rename(name: string, to: string): Promise<RigCardInfo[]>;
  /** @returns the name as saved; @throws UserError where there is none */
  delete(name: string): Promise<string>;
}
