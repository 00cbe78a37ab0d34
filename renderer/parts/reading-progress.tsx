import { useStore, useWindowState } from '../state/window-context.js';
import { FrameProgress } from './frame-progress.js';

/** How far the analysis of the open stack is. */
export function ReadingProgress() {
  const store = useStore();
  const { progress, phase } = useWindowState();
  return <FrameProgress progress={phase === 'opening' ? null : progress} onStop={() => store.cancel()} />;
}
