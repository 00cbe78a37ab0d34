import type { Finding } from '../contract/report.js';

/** A longer run was another subject, or another day. */
const MOST_MISSING = 5;
/** Names count up by one from frame to frame this often, or their numbers are no counter. */
const LEAST_COUNTING = 0.7;
const FEWEST_NAMES = 5, MOST_NAMED = 3;

/**
 * A hint where the camera's counter skips a few numbers: a frame may have been deleted or left on the card. Nothing more than a hint; whether
 * a depth is missed, the steps say.
 *
 * @param files in file order
 * @param labels their short names
 */
export function missingNumbers(files: readonly string[], labels: readonly string[]): Finding[] {
  const parts = files.map((file) => /^(.*?)(\d+)(\D*)$/.exec(file.replace(/\.[^.]+$/, '')));
  if (files.length < FEWEST_NAMES || parts.some((part) => part === null || part[1] !== parts[0]?.[1] || part[3] !== parts[0][3])) return [];
  const numbers = parts.map((part) => Number(part![2])), steps = numbers.slice(1).map((n, i) => n - numbers[i]);
  if (steps.filter((step) => step === 1).length < LEAST_COUNTING * steps.length) return [];
  const skipped = steps.flatMap((step, i) => (step > 1 && step - 1 <= MOST_MISSING ? [i] : []));
  if (!skipped.length) return [];
  const places = skipped.slice(0, MOST_NAMED).map((i) => `${steps[i] - 1 === 1 ? 'one number' : `${steps[i] - 1} numbers`} between ${labels[i]} and ${labels[i + 1]}`);
  const more = skipped.length > MOST_NAMED ? `, and in ${skipped.length - MOST_NAMED} more places` : '';
  return [{
    kind: 'missing-number', severity: 'info', frames: skipped.slice(0, MOST_NAMED).flatMap((i) => [i, i + 1]),
    message: `The file names skip ${places.join(', ')}${more}: a frame may have been deleted, or left on the card.`,
    remedy: 'Only a hint: whether a depth is missed there, the step says.',
  }];
}
