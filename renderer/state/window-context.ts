import { createContext, useContext, useSyncExternalStore } from 'react';
import type { WindowState } from './window-state.js';
import type { WindowStore } from './window-store.js';

export const StoreContext = createContext<WindowStore | null>(null);

export function useStore(): WindowStore {
  const store = useContext(StoreContext);
  if (!store) throw new Error('no window store around this part');
  return store;
}

export function useWindowState(): WindowState {
  const store = useStore();
  return useSyncExternalStore(store.subscribe, store.getState);
}
