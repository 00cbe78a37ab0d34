import type { RigCardInfo } from '../contract/host.js';

/** The card saved for a camera, where exactly one is: two say that the camera alone does not tell the set-up. Letters in either case. */
export function cardForCamera(cards: readonly RigCardInfo[], cameraModel: string | null): RigCardInfo | null {
  if (cameraModel === null) return null;
  const fitting = cards.filter((card) => card.cameraModel?.trim().toLowerCase() === cameraModel.trim().toLowerCase());
  return fitting.length === 1 ? fitting[0] : null;
}
