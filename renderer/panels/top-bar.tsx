import { Button, Menu, MenuItem, MenuTrigger, Popover } from 'react-aria-components';
import type { ExportFormat } from '../../src/contract/host.js';
import { useStore, useWindowState } from '../state/window-context.js';
import { SCHEMES, SCREENS, type Scheme, type Screen } from '../state/window-state.js';

const SCREEN_NAMES: Record<Screen, string> = { stack: 'Stack', plan: 'Plan', watch: 'Watch', rail: 'Rail' };
const SCHEME_NAMES: Record<Scheme, string> = { system: 'As the system', light: 'Light', dark: 'Dark', bench: 'Bench (dim amber)' };
const FORMATS: Record<ExportFormat, string> = {
  html: 'Report to read or print (HTML)', pdf: 'Report (PDF)', json: 'Report as data (JSON)', 'csv-steps': 'Steps (CSV)', 'csv-frames': 'Frames (CSV)',
  'height-tiff': 'Height map, 16 bit (TIFF)', 'height-png': 'Height map, 16 bit (PNG)',
};

/** Which screen, which folder, and what belongs to the window as a whole. */
export function TopBar() {
  const store = useStore();
  const { screen, stack, report, scheme, provisional, watch } = useWindowState();
  return (
    <header className="top-bar">
      <nav aria-label="Screens">
        {SCREENS.map((name) => (
          <button key={name} type="button" aria-current={screen === name ? 'page' : undefined} onClick={() => store.goTo(name)}>{SCREEN_NAMES[name]}{name === 'watch' && watch.running && screen !== 'watch' ? ' ●' : ''}</button>
        ))}
      </nav>
      <span className="folder" title={stack?.folder}>{stack?.name ?? ''}</span>
      <div className="tools">
        <button type="button" onClick={() => void store.chooseFolder(screen === 'rail' ? 'rail' : 'stack')}>Open…</button>
        {report && !provisional && screen === 'stack' && (
          <MenuTrigger>
            <Button>Save…</Button>
            <Popover className="popover"><Menu className="menu" onAction={(key) => void store.exportReport(key as ExportFormat)}>
              {Object.entries(FORMATS).map(([key, name]) => <MenuItem key={key} id={key} className="menu-item">{name}</MenuItem>)}
            </Menu></Popover>
          </MenuTrigger>
        )}
        <label className="scheme">Scheme <select value={scheme} onChange={(event) => store.set({ scheme: event.target.value as Scheme })}>
          {SCHEMES.map((name) => <option key={name} value={name}>{SCHEME_NAMES[name]}</option>)}
        </select></label>
        <button type="button" onClick={() => store.set({ dialog: 'keys' })}>Keys</button>
      </div>
    </header>
  );
}
