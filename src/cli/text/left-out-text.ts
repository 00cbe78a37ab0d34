import type { Report } from '../../contract/report.js';
import { countText } from '../../optics/number-text.js';
import { wrapText } from './wrap-text.js';
import type { TextStyle } from './text-style.js';

/** Frames that have no rung, named one by one: none is dropped silently. */
export function leftOutText(report: Report, style: TextStyle): string[] {
  const { frames, order } = report.stack;
  const placed = new Set(order);
  const left = frames.flatMap((frame, i) => (placed.has(i) ? [] : [`${frame.file} (${frame.flags.map((flag) => flag.replace('-', ' ')).join(', ') || 'no place found'})`]));
  if (left.length === 0) return [];
  return wrapText(`${countText(left.length, 'frame')} left out of the ladder: ${left.join(', ')}.`, style.columns, '  ');
}
