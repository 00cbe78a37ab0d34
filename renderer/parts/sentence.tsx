import type { Piece } from '../format/rich-text.js';

/** A sentence made of pieces; strong ones carry the figures. */
export function Sentence({ pieces }: { pieces: readonly Piece[] }) {
  return <>{pieces.map((piece, i) => (piece.strong ? <strong key={i}>{piece.text}</strong> : <span key={i}>{piece.text}</span>))}</>;
}
