/** Text that is HTML already. Everything else is escaped when it is put into a page. */
export class Markup {
  constructor(readonly text: string) {}
}

type Piece = Markup | string | number | null | readonly Piece[];

/**
 * Builds HTML or SVG; whatever is put in is escaped unless it is {@link Markup} itself, so that a file name can't become a tag.
 * Null leaves nothing.
 */
export function html(fixed: TemplateStringsArray, ...pieces: Piece[]): Markup {
  return new Markup(fixed.reduce((text, part, i) => text + render(pieces[i - 1] ?? null) + part));
}

function render(piece: Piece): string {
  if (piece === null) return '';
  if (piece instanceof Markup) return piece.text;
  if (typeof piece === 'string' || typeof piece === 'number') return escapeHtml(String(piece));
  return piece.map(render).join('');
}

const ESCAPES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

/** Control characters, which no file name needs in a page, become a visible mark. */
export function escapeHtml(text: string): string {
  return text.replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f\u202a-\u202e\u2066-\u2069]/g, '\ufffd').replace(/[&<>"']/g, (letter) => ESCAPES[letter] ?? letter);
}
