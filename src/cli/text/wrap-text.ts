/**
 * Breaks a text into lines of at most `columns` characters at spaces; longer words (paths) stay whole.
 * @param indent put before every line; `first` replaces it on the first one, for numbers and bullets
 */
export function wrapText(text: string, columns: number, indent = '', first = indent): string[] {
  const lines: string[] = [];
  let line = first, empty = true;
  for (const word of text.split(/\s+/).filter((w) => w !== '')) {
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
