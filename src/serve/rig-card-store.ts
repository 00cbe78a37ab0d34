import type { RigCardInfo } from '../contract/host.js';

/** Saved set-ups, wherever they are kept. */
export interface RigCardStore {
  list(): Promise<RigCardInfo[]>;
  /** Adds the card, or replaces the one of that name; gives all of them. */
  save(card: RigCardInfo): Promise<RigCardInfo[]>;
}
