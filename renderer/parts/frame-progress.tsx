import type { AnalysisProgress } from '../../src/contract/host.js';
import { duration } from '../format/numbers.js';

/** How far the reading of frames is, and a way to stop it. */
export function FrameProgress({ progress, onStop }: { progress: AnalysisProgress | null; onStop: () => void }) {
  if (!progress) return <div className="reading"><span>Looking into the folder…</span><button type="button" onClick={onStop}>Stop</button></div>;
  const { stage, done, all, leftMs } = progress;
  const text = stage === 'solving' ? 'All frames are read; finding where each was focused…' : `${done} of ${all} ${all === 1 ? 'frame' : 'frames'} read${leftMs !== null && done < all ? `, about ${duration(leftMs)} left` : ''}`;
  return (
    <div className="reading">
      <progress aria-label="Frames read" value={stage === 'solving' ? undefined : done} max={Math.max(1, all)} />
      <span>{text}</span>
      <button type="button" onClick={onStop}>Stop</button>
    </div>
  );
}
