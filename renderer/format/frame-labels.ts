const LONGEST = 12;

/**
 * Short names for frames: what tells the files apart, with whole numbers kept whole ("IMG_0109.jpg", "IMG_0110.jpg" → "0109", "0110").
 * Falls back to the name without its ending; long names are shortened in the middle.
 */
export function frameLabels(files: readonly string[]): string[] {
  const names = files.map((file) => file.replace(/\.[^.]{1,5}$/, ''));
  if (names.length < 2) return names.map(shorten);
  const first = names[0];
  let start = 0;
  while (start < first.length && names.every((name) => name[start] === first[start])) start++;
  while (start > 0 && isDigit(first[start - 1])) start--;
  let end = 0;
  while (end < first.length - start && names.every((name) => name.length - end > start && name[name.length - 1 - end] === first[first.length - 1 - end])) end++;
  while (end > 0 && isDigit(first[first.length - end])) end--;
  const cut = names.map((name) => name.slice(start, name.length - end));
  return cut.some((label) => label.length === 0) || new Set(cut).size < new Set(names).size ? names.map(shorten) : cut.map(shorten);
}

const isDigit = (letter: string): boolean => letter >= '0' && letter <= '9';

function shorten(name: string): string {
  const letters = [...name];
  return letters.length <= LONGEST ? name : `${letters.slice(0, 5).join('')}…${letters.slice(-6).join('')}`;
}
