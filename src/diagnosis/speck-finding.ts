import type { Finding } from '../contract/report.js';
import type { LastingSpecks } from '../sharpness/lasting-specks.js';

/** The frames must reach this many times as far as a surface's fine detail does, so that no surface keeps it in all of them. */
const LEAST_REACHES = 2.5;
const FEWEST_FRAMES = 6;
/** Fewer are single glints as well; rendered stacks without dust had one cell at most. */
const LEAST_CELLS = 8, LEAST_PLACES = 2;

/**
 * Dust and hot pixels, where they can be told from the subject with certainty.
 *
 * @param span from the nearest to the farthest frame; @param reach of the fine band's focus curve, same unit
 */
export function speckFinding({ cells, places, share }: LastingSpecks, frames: number, span: number, reach: number): Finding[] {
  if (frames < FEWEST_FRAMES || span < LEAST_REACHES * reach || cells < LEAST_CELLS || places < LEAST_PLACES) return [];
  const percent = 100 * share;
  return [{
    kind: 'lasting-specks', severity: 'info', frames: [],
    message: `About ${places} specks (${percent < 1 ? 'under 1' : Math.round(percent)} % of the picture) stay in place and sharp in every frame: dust on the sensor, or hot pixels. They do not hurt the measurement.`,
    remedy: 'In the finished picture they leave trails where the frames were moved to fit: clean the sensor before the next stack.',
  }];
}
