/** The space before a unit that follows a number, or between a number and what it is times of. */
const UNIT = /(?<=\d) (?=(?:%|µm|mm|nm|px|DOF|×)(?![\p{L}\d]))|(?<=×) (?=DOF)/gu;

/**
 * Breaks a text into lines of at most `columns` characters at spaces; longer words (paths) stay whole, and so does a number with its unit.
 * @param indent put before every line; `first` replaces it on the first one, for numbers and bullets
 */
export function wrapText(text: string, columns: number, indent = '', first = indent): string[] {
  const lines: string[] = [];
  let line = first, empty = true;
  for (const bound of text.replace(UNIT, '\u00a0').split(/[ \t\r\n]+/).filter((w) => w !== '')) {
    const word = bound.replaceAll('\u00a0', ' ');
    if (!empty && line.length + 1 + word.length > columns) {
      lines.push(line);
      line = indent;
      empty = true;
    }
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  if (!empty) lines.push(line);
  return lines;
}
