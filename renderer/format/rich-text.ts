/** A sentence in pieces, some of them strong, so that words are made apart from markup. */
export interface Piece { text: string; strong?: boolean }

/** Tagged template: what is put in is strong, what stands around it is not. */
export function sentence(parts: TemplateStringsArray, ...strong: (string | number)[]): Piece[] {
  return parts.flatMap((text, i) => [{ text }, ...(i < strong.length ? [{ text: String(strong[i]), strong: true }] : [])]).filter((piece) => piece.text !== '');
}

export const plainText = (pieces: readonly Piece[]): string => pieces.map((piece) => piece.text).join('');
