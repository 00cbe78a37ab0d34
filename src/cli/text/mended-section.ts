import type { Report } from '../../contract/report.js';
import { frameLabels } from '../../optics/frame-labels.js';
import { mendedByTopUp, mendedText } from '../../optics/mended-by-top-up.js';
import type { TextStyle } from './text-style.js';
import { wrapText } from './wrap-text.js';

/** What frames shot later did to the steps they lie in. */
export function mendedSection(report: Report, style: TextStyle): string[] {
  const labels = frameLabels(report.stack.frames.map((frame) => frame.file));
  return mendedByTopUp(report).flatMap((mended) => wrapText(mendedText(report, mended, labels), style.columns, '  '));
}
