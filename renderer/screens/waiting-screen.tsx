import { ReadingProgress } from '../parts/reading-progress.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** Frames are being read, or reading was stopped. */
export function WaitingScreen() {
  const store = useStore();
  const { phase, stack } = useWindowState();
  return (
    <main className="page">
      {phase === 'starting' && <p>Starting…</p>}
      {phase === 'stopped' && <><h1>Stopped.</h1><p>Nothing was changed. {stack ? `${stack.frames.length} frames are in the folder.` : ''}</p><p><button type="button" className="strong" onClick={() => void store.analyse()}>Check it after all</button></p></>}
      {(phase === 'opening' || phase === 'analysing') && <><h1>Leave the rig up: reading {stack?.name ?? 'the folder'}.</h1><ReadingProgress /></>}
    </main>
  );
}
