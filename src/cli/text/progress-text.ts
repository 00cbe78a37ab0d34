import type { Progress } from '../../pipeline/analyse-request.js';
import { durationText } from './duration-text.js';

const words: Record<Progress['stage'], string> = { reading: 'Reading frames', solving: 'Working out the ladder' };

/** One line, shorter than the terminal is wide. */
export function progressText({ stage, done, all, leftMs }: Progress, columns: number): string {
  const count = stage === 'reading' ? ` ${done} of ${all}` : all > 0 ? ` ${Math.round((100 * done) / all)} %` : '';
  const left = leftMs === null || leftMs < 500 ? '' : `, ${durationText(Math.max(1000, Math.round(leftMs / 1000) * 1000)).replace('.0', '')} left`;
  return `${words[stage]}${count}${left}`.slice(0, Math.max(0, columns - 1));
}
