import { duration } from '../format/numbers.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** How far the analysis is, and a way to stop it. */
export function ReadingProgress() {
  const store = useStore();
  const { progress, phase } = useWindowState();
  if (phase === 'opening') return <p>Looking into the folder…</p>;
  if (!progress) return null;
  const { stage, done, all, leftMs } = progress;
  const text = stage === 'solving' ? 'All frames are read; finding where each was focused…' : `${done} of ${all} frames read${leftMs !== null && done < all ? `, about ${duration(leftMs)} left` : ''}`;
  return (
    <div className="reading">
      <progress aria-label="Frames read" value={stage === 'solving' ? undefined : done} max={Math.max(1, all)} />
      <span>{text}</span>
      <button type="button" onClick={() => store.cancel()}>Stop</button>
    </div>
  );
}
