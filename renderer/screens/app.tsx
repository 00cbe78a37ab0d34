import { useEffect } from 'react';
import { CardsDialog } from '../panels/cards-dialog.js';
import { OpenDialog } from '../panels/open-dialog.js';
import { KeysDialog } from '../panels/keys-dialog.js';
import { SaveCardDialog } from '../panels/save-card-dialog.js';
import { TopBar } from '../panels/top-bar.js';
import { useScheme } from '../state/use-scheme.js';
import { useStore, useWindowState } from '../state/window-context.js';
import { useDroppedFolder } from '../state/use-dropped-folder.js';
import { useWindowKeys } from '../state/use-window-keys.js';
import { PlanScreen } from './plan-screen.js';
import { RailScreen } from './rail-screen.js';
import { StackScreen } from './stack-screen.js';
import { StartScreen } from './start-screen.js';
import { TroubleScreen } from './trouble-screen.js';
import { WaitingScreen } from './waiting-screen.js';
import { WatchScreen } from './watch-screen.js';

/** The whole window: a bar above, one screen, dialogs over it. */
export function App() {
  const state = useWindowState();
  const store = useStore();
  const scheme = useScheme(state.scheme);
  useWindowKeys(store);
  const dropping = useDroppedFolder(store);
  useEffect(() => { document.title = state.stack && state.screen === 'stack' ? `${state.stack.name} – Rungwise` : 'Rungwise'; }, [state.stack, state.screen]);
  return (
    <div className={dropping ? 'app dropping' : 'app'}>
      <TopBar />
      {state.notice && <p className="notice" role="status">{state.notice} <button type="button" className="plain" onClick={() => store.set({ notice: null })}>Close this note</button></p>}
      <Screen scheme={scheme} />
      <OpenDialog />
      <KeysDialog />
      <SaveCardDialog />
      <CardsDialog />
    </div>
  );
}

function Screen({ scheme }: { scheme: 'light' | 'dark' | 'bench' }) {
  const { screen, phase, report } = useWindowState();
  if (screen === 'plan') return <PlanScreen />;
  if (screen === 'watch') return <WatchScreen />;
  if (screen === 'rail') return <RailScreen />;
  if (phase === 'failed') return <TroubleScreen />;
  if (phase === 'no-stack') return <StartScreen />;
  if (report) return <StackScreen report={report} scheme={scheme} />;
  return <WaitingScreen />;
}
