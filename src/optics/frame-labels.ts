/**
 * Short names that tell the frames of one stack apart: what all share is left off at both ends, digits are never cut in two.
 * IMG_0109.JPG, IMG_0110.JPG → 0109, 0110.
 *
 * @param files file names in any order
 * @returns one label a file, in the same order; all different where the names are
 */
export function frameLabels(files: readonly string[]): string[] {
  const stems = files.map((file) => file.replace(/^.*[\\/]/, '').replace(/\.[^.]+$/, ''));
  if (new Set(stems).size < new Set(files).size) return [...files];
  if (files.length < 2) return stems;
  const start = sharedStart(stems);
  const end = sharedStart(stems.map(reversed));
  return stems.map((stem) => {
    const label = stem.slice(start, stem.length - end);
    // Names of which one is the beginning of another: cutting both ends could leave nothing.
    return label === '' || start + end > stem.length ? stem : label;
  });
}

/** Length of the start that all names share, moved back so that no run of digits is cut. */
function sharedStart(names: readonly string[]): number {
  const first = names[0] ?? '';
  let length = 0;
  while (length < first.length && names.every((name) => name[length] === first[length])) length++;
  while (length > 0 && isDigit(first[length - 1]) && names.some((name) => isDigit(name[length]) || isDigit(name[length - 1]))) length--;
  return length;
}

const isDigit = (letter: string | undefined): boolean => letter !== undefined && letter >= '0' && letter <= '9';
const reversed = (text: string): string => [...text].reverse().join('');
