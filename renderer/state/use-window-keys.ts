import { useEffect } from 'react';
import type { WindowStore } from './window-store.js';

/** Keys that work anywhere in the window. Single letters are left alone while something is typed, and can be switched off (WCAG 2.1.4). */
export function useWindowKeys(store: WindowStore): void {
  useEffect(() => {
    const pressed = (event: KeyboardEvent): void => {
      const { singleKeys, dialog, phase, report } = store.getState();
      const target = event.target as HTMLElement;
      if (dialog || event.ctrlKey || event.metaKey || event.altKey || /^(INPUT|SELECT|TEXTAREA)$/.test(target.tagName)) return;
      if (event.key === 'Escape' && (phase === 'opening' || phase === 'analysing')) { store.cancel(); return; }
      if (!singleKeys) return;
      const actions: Record<string, () => void> = {
        'o': () => void store.chooseFolder(),
        '?': () => store.set({ dialog: 'keys' }),
        's': () => store.set({ pictureMode: 'soft' }),
        'd': () => store.set({ pictureMode: 'depth' }),
        'f': () => store.set({ pictureMode: 'frame' }),
        'g': () => { if (report) store.markNextGap(); },
      };
      const action = actions[event.key];
      if (!action) return;
      event.preventDefault();
      action();
    };
    addEventListener('keydown', pressed);
    return () => removeEventListener('keydown', pressed);
  }, [store]);
}
