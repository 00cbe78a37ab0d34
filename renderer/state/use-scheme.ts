import { useEffect, useSyncExternalStore } from 'react';
import type { Scheme } from './window-state.js';

const asksDark = (): MediaQueryList => matchMedia('(prefers-color-scheme: dark)');
const followSystem = (changed: () => void): (() => void) => {
  const query = asksDark();
  query.addEventListener('change', changed);
  return () => query.removeEventListener('change', changed);
};

/** The scheme in force: the one chosen, or what the system asks for. Sets it on the page, where the style sheet reads it. */
export function useScheme(chosen: Scheme): Exclude<Scheme, 'system'> {
  const dark = useSyncExternalStore(followSystem, () => asksDark().matches);
  const scheme = chosen === 'system' ? (dark ? 'dark' : 'light') : chosen;
  useEffect(() => { document.documentElement.dataset.scheme = scheme; }, [scheme]);
  return scheme;
}
