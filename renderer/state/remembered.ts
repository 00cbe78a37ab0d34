import { SCHEMES, type WindowState } from './window-state.js';

/** What a person sets once for the room they sit in: kept in this browser, for the next visit. Nothing of the stack is. */
export type Remembered = Pick<WindowState, 'scheme' | 'singleKeys' | 'sound'>;

const KEY = 'rungwise-window';

export function remember({ scheme, singleKeys, sound }: Remembered): void {
  // Storage may be switched off; the window works without.
  try { localStorage.setItem(KEY, JSON.stringify({ scheme, singleKeys, sound })); } catch { /* not kept then */ }
}

/** Whatever of it is there and makes sense. */
export function recall(): Partial<Remembered> {
  let kept: Record<string, unknown>;
  try { kept = JSON.parse(localStorage.getItem(KEY) ?? '{}') as Record<string, unknown>; } catch { return {}; }
  const scheme = SCHEMES.find((name) => name === kept['scheme']);
  return {
    ...(scheme ? { scheme } : {}),
    ...(typeof kept['singleKeys'] === 'boolean' ? { singleKeys: kept['singleKeys'] } : {}),
    ...(typeof kept['sound'] === 'boolean' ? { sound: kept['sound'] } : {}),
  };
}
