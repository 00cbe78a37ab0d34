import { keptTogether } from '../format/kept-together.js';
import type { Piece } from '../format/rich-text.js';

/** A sentence made of pieces; strong ones carry the figures. */
export function Sentence({ pieces }: { pieces: readonly Piece[] }) {
  return <>{pieces.map((piece, i) => (piece.strong ? <strong key={i}>{keptTogether(piece.text)}</strong> : <span key={i}>{keptTogether(piece.text)}</span>))}</>;
}
