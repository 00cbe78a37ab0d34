import { RIG_FIELDS, type RigNumbers } from '../../src/contract/host.js';
import { PICTURE_MODES, SCREENS, type Mark, type PictureMode, type Screen, type WindowState } from './window-state.js';

/** What the address keeps, so that a place in a stack can be reopened: after #, never sent anywhere. */
export interface Address {
  screen: Screen;
  folder: string | null;
  mark: Mark | null;
  tile: number | null;
  pictureMode: PictureMode;
  entered: RigNumbers;
  overlap: number | null;
}

export function addressOf(state: WindowState): string {
  const parts = new URLSearchParams();
  if (state.screen !== 'stack') parts.set('screen', state.screen);
  if (state.stack) parts.set('stack', state.stack.folder);
  if (state.mark?.kind === 'frame') parts.set('frame', String(state.mark.frame));
  if (state.mark?.kind === 'step') parts.set('step', String(state.mark.step));
  if (state.mark?.kind === 'end') parts.set('end', String(state.mark.end));
  if (state.tile !== null) parts.set('tile', String(state.tile));
  if (state.pictureMode !== 'soft') parts.set('picture', state.pictureMode);
  for (const field of RIG_FIELDS) if (state.settings.entered[field] !== undefined) parts.set(field, String(state.settings.entered[field]));
  if (state.settings.overlap !== 0.3) parts.set('overlap', String(state.settings.overlap));
  return `#${parts.toString()}`;
}

/** Reads an address; whatever in it makes no sense is left out. */
export function readAddress(hash: string): Address {
  const parts = new URLSearchParams(hash.replace(/^#/, ''));
  const index = (name: string): number | null => {
    const value = parts.get(name);
    return value !== null && /^\d{1,7}$/.test(value) ? Number(value) : null;
  };
  const frame = index('frame'), step = index('step'), end = index('end');
  const entered: RigNumbers = {};
  for (const field of RIG_FIELDS) {
    const value = Number(parts.get(field));
    if (parts.has(field) && Number.isFinite(value) && value > 0) entered[field] = value;
  }
  const overlap = Number(parts.get('overlap'));
  return {
    screen: SCREENS.find((s) => s === parts.get('screen')) ?? 'stack',
    folder: parts.get('stack') || null,
    mark: frame !== null ? { kind: 'frame', frame } : step !== null ? { kind: 'step', step } : end === 0 || end === 1 ? { kind: 'end', end } : null,
    tile: index('tile'),
    pictureMode: PICTURE_MODES.find((m) => m === parts.get('picture')) ?? 'soft',
    entered,
    overlap: parts.has('overlap') && overlap >= 0 && overlap <= 0.9 ? overlap : null,
  };
}
