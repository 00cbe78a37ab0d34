import path from 'node:path';
import type { RigCardInfo } from '../contract/host.js';
import { cardForCamera } from '../optics/card-for-camera.js';
import { rigCardFolder } from './find-rig-card.js';
import { listFrameFiles } from './list-frame-files.js';

/** Headers read before giving up: a stack comes from one camera, and the first frames tell. */
const LOOK_AT = 3;

/**
 * The saved rig card that fits the camera of a stack, where exactly one does. What can't be read is left for the check to complain of.
 *
 * @returns null where no card names a camera, or none or several name this one
 */
export async function pickRigCard(folder: string): Promise<{ card: RigCardInfo; cameraModel: string } | null> {
  const cards = (await rigCardFolder().list()).filter((card) => card.cameraModel !== undefined);
  if (cards.length === 0) return null;
  const cameraModel = await cameraModelOf(folder);
  const card = cardForCamera(cards, cameraModel);
  return card === null || cameraModel === null ? null : { card, cameraModel };
}

/** What the camera calls itself in the first frames of a folder, or null. */
export async function cameraModelOf(folder: string): Promise<string | null> {
  // Loaded only where a card names a camera: the decoder costs every start of the program a tenth of a second.
  const { readHeader } = await import('./read-header.js');
  const files = await listFrameFiles(folder).catch(() => []);
  for (const file of files.slice(0, LOOK_AT)) {
    const { facts } = await readHeader(path.join(folder, file));
    if (facts.cameraModel !== null) return facts.cameraModel;
  }
  return null;
}
